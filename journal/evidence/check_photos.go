package evidence

import (
	"context"
	"fmt"
	"slices"

	"fettlebook/journal/bag"
	"fettlebook/journal/words"
	"fettlebook/media"
)

// pair is what tells photographs apart: entries cite both hashes.
type pair struct{ ref, thumb media.Ref }

func (r *reading) checkPhotos(ctx context.Context) (Answer, error) {
	a := Answer{Question: Pictured}
	cited := r.cited()
	listed := make(map[pair]bool)
	cites := 0
	copied := &copies{reading: r, seen: make(map[media.Ref]looked)}
	for i := range r.d.Photos {
		p := &r.d.Photos[i]
		k := pair{p.Ref, p.Thumb}
		fits := !listed[k] && slices.Equal(cited[k], p.Cited)
		if !fits {
			a.add(Finding{PhotoNotCited, No, fmt.Sprintf("The photograph %s is not cited by the entries that the dossier says: %s.", p.Ref, citing(cited[k])), p.Cited, paths(DossierPath)})
		}
		listed[k] = true
		n, err := r.checkPhoto(&a, p)
		if err != nil {
			return a, err
		}
		cites += n
		if err := copied.compare(ctx, &a, p, fits); err != nil {
			return a, err
		}
	}
	for _, e := range r.list {
		for _, shown := range e.shows {
			if k := (pair{shown.Ref, shown.Thumb}); !listed[k] {
				listed[k] = true
				a.add(Finding{PhotoNotListed, No, fmt.Sprintf("The entry %s cites the photograph %s, and the dossier does not say what became of it.", e.called(), shown.Ref), cited[k], paths(DossierPath)})
			}
		}
	}
	all := words.Count(len(r.d.Photos), "photograph")
	yes := fmt.Sprintf("Yes: %s of %s, each with the hash that entries cite.", words.Either(cites, "original or thumbnail", "originals and thumbnails"), all) + copied.says()
	switch {
	case len(r.d.Photos) == 0:
		yes = "Yes: no entry cites a photograph."
	case cites == 0:
		a.add(Finding{PhotoAbsent, Unknown, "No photograph is in this file, as was asked for when it was made.", nil, nil})
	}
	a.settle(yes, "No: not all photographs are the ones that the entries cite.",
		words.Choose(cites == 0, "No photograph is here to be checked.",
			fmt.Sprintf("Of %s not all can be checked; %s here, each with the hash that entries cite.", all, words.Either(cites, "original or thumbnail is", "originals and thumbnails are"))+copied.says()))
	return a, nil
}

// cited gathers which entries cite which photograph.
func (r *reading) cited() map[pair][]At {
	cited := make(map[pair][]At)
	for _, e := range r.list {
		for _, p := range e.shows {
			k := pair{p.Ref, p.Thumb}
			if n := len(cited[k]); n == 0 || cited[k][n-1] != e.At {
				cited[k] = append(cited[k], e.At)
			}
		}
	}
	return cited
}

func citing(list []At) string {
	if len(list) == 0 {
		return "no entry that is here cites it"
	}
	return "it is cited by " + list[0].String() + words.If(len(list) > 1, " and others")
}

// checkPhoto holds the files of a photograph against the hashes that entries
// cite, of a copy against the one that the description states, and counts those
// that have a hash which entries cite.
func (r *reading) checkPhoto(a *Answer, p *Photo) (cites int, err error) {
	for path, want := range p.files() {
		hash, ok := r.files.Hashes[path]
		if !ok {
			a.add(Finding{PhotoGone, No, fmt.Sprintf("The file of %s is not here.", r.photo(p)), p.Cited, paths(path)})
			continue
		}
		if hash != bag.Hash(want) {
			a.add(Finding{PhotoOther, No, fmt.Sprintf("This is not %s: its hash is another.", r.photo(p)), p.Cited, paths(path)})
			continue
		}
		no, err := r.looksOther(path, p)
		if err != nil {
			return cites, err
		}
		if bag.Hash(p.Copy) != hash {
			cites++
		}
		if no != "" {
			a.add(Finding{NotAPhoto, No, fmt.Sprintf("The file that is named as %s is not a photograph: %s.", r.photo(p), no), p.Cited, paths(path)})
		}
	}
	if r.d.Asked.Photos == Originals && !p.Original && p.Copy.IsZero() && p.Missing != Withdrawn {
		a.add(Finding{PhotoAbsent, Unknown, fmt.Sprintf("%s is not here%s.", words.Capital(r.photo(p)), words.Fill(": %s", p.Missing.Says())), p.Cited, nil})
	}
	return cites, nil
}

// looksOther says what a file is if it is not a picture of the kind that its
// name says.
func (r *reading) looksOther(path string, p *Photo) (string, error) {
	head, err := r.bag.Head(path, media.HeadLen)
	if err != nil {
		return "", err
	}
	format, err := media.FormatOf(head)
	switch want := p.ext(path); {
	case err != nil:
		return err.Error(), nil
	case ExtOf(format) != want:
		return fmt.Sprintf("it is a %s picture", format), nil
	}
	return "", nil
}

// ext returns how the name of one of the photograph's files ends.
func (p *Photo) ext(path string) Ext {
	if path == ThumbPath(p.Thumb) {
		return JPG
	}
	return p.Ext
}

// photo says in words which photograph it is: what it is to show, and the first
// entry that cites it.
func (r *reading) photo(p *Photo) string {
	e := r.entries[p.Cited[0]]
	if e == nil {
		return fmt.Sprintf("the photograph %s that the entry %s is said to cite", p.Ref, p.Cited[0])
	}
	role := ""
	for _, shown := range e.shows {
		if shown.Ref == p.Ref {
			role = shown.Role
		}
	}
	return fmt.Sprintf("the photograph %sthat the entry %s cites", words.Fill("“%s” ", role), e.called())
}
