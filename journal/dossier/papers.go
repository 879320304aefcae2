package dossier

import (
	"context"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"sync"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/bag"
	"fettlebook/journal/evidence"
	"fettlebook/journal/shop"
	"fettlebook/media"
)

// Told is what papers tell of.
type Told struct {
	View  *shop.View
	About evidence.About
	Asked evidence.Asked
	// At is when the newest entry was written, by its device: as of then
	// papers speak, so that the same logs give the same papers.
	At time.Time
	// Unshown says in a sentence or two why a photograph must not be shown; ""
	// of one that may.
	Unshown func(original media.Ref) string
	// Investigations are those of which papers may tell, the oldest first: all
	// that is told of them is here.
	Investigations []journal.EntryID
	// Originals is how many bytes of photographs the dossier holds.
	Originals int64
}

// packPapers writes the route cards, the schemas of the kinds, and what others
// write for people.
func (b *build) packPapers(out *bag.Writer) error {
	done := int64(0)
	add := func(ctx context.Context, path string, write func(io.Writer) error) error {
		if err := ctx.Err(); err != nil {
			return err
		}
		// What is written goes straight into the bag: a report with its
		// pictures is large.
		read, to := io.Pipe()
		var writing sync.WaitGroup
		writing.Go(func() { to.CloseWithError(write(to)) })
		_, err := out.Add(ctx, path, read)
		read.CloseWithError(err) // what is not read any more fails
		writing.Wait()
		done++
		b.tell(Writing, done, 0)
		return err
	}
	for _, path := range slices.Sorted(maps.Keys(b.routes)) {
		if _, err := out.Add(b.ctx, path, strings.NewReader(b.routes[path])); err != nil {
			return err
		}
	}
	if err := b.packSchemas(out); err != nil {
		return err
	}
	if len(b.Papers) == 0 {
		return nil
	}
	if b.hidden { // a paper would tell what is withheld
		b.leave("the report and the open formats", "an entry of a shared run is withheld, and they would tell what it says")
		return nil
	}
	t := &Told{View: b.view, About: b.d.About, Asked: b.d.Asked, At: b.newestTime(), Unshown: b.unshown, Investigations: b.tellable(), Originals: b.weight}
	for _, p := range b.Papers {
		if err := p.Write(b.ctx, t, add); err != nil {
			return err
		}
	}
	return b.view.Err()
}

// newestTime is when the newest of the jobs' entries and of the investigations
// was written.
func (b *build) newestTime() (at time.Time) {
	lines := slices.Clone(b.looked)
	for _, j := range b.jobs {
		lines = append(lines, j.Timeline()...)
	}
	for _, l := range lines {
		if t := time.Time(l.Clocks.Device); t.After(at) {
			at = t
		}
	}
	return at
}

// packSchemas writes the JSON Schemas of the kinds that are here.
func (b *build) packSchemas(out *bag.Writer) error {
	kinds := make(map[journal.Kind]bool)
	for _, i := range b.items {
		kinds[i.kind] = i.kind.Known()
	}
	for _, k := range slices.Sorted(maps.Keys(kinds)) {
		if !kinds[k] {
			continue
		}
		raw, err := journal.Schema(k)
		if err != nil {
			return err
		}
		if _, err := out.AddBytes(b.ctx, evidence.SchemasFolder+string(k)+".json", raw); err != nil {
			return err
		}
	}
	raw, err := journal.EntrySchema()
	if err != nil {
		return err
	}
	_, err = out.AddBytes(b.ctx, evidence.SchemasFolder+"entry.json", raw)
	return err
}

// routePath is where the text of a route card lies.
func routePath(c *journal.RouteCard) string {
	return fmt.Sprintf("%s%s-%d.yaml", evidence.RoutesFolder, plain(string(c.Route)), c.Edition)
}
