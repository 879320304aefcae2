package index

import (
	"context"
	"iter"
)

// chunk is how many entries one transaction of a load takes in. Their rows
// are sorted in memory.
const chunk = 5_000

// Load fills the index with many entries, as [DB.Put] does with a few. What
// was committed before an error stays, with its mark: a load that was cut off
// goes on from [DB.Marks]. While one chunk is written, the next is made from
// the sequence. Progress, if given, hears how many are in after each chunk.
func (db *DB) Load(ctx context.Context, items iter.Seq2[Item, error], progress func(entries int)) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	chunks := make(chan []gist)
	var failed error
	go func() {
		defer close(chunks)
		failed = gather(ctx, items, chunks)
	}()
	n := 0
	for list := range chunks {
		if err := db.put(ctx, list); err != nil {
			cancel()
			for range chunks { // until the other side has seen it
			}
			return err
		}
		if n += len(list); progress != nil {
			progress(n)
		}
	}
	return failed
}

// gather cuts items into chunks.
func gather(ctx context.Context, items iter.Seq2[Item, error], chunks chan<- []gist) error {
	var list []gist
	send := func() error {
		select {
		case chunks <- list:
			list = nil
			return nil
		case <-ctx.Done():
			return context.Cause(ctx)
		}
	}
	for item, err := range items {
		if err != nil {
			return err
		}
		if list = append(list, digest(item)); len(list) == chunk {
			if err := send(); err != nil {
				return err
			}
		}
	}
	if len(list) > 0 {
		return send()
	}
	return ctx.Err()
}
