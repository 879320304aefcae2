package main

import (
	"context"
	"errors"
	"io"

	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/paper"
	"fettlebook/journal"
	"fettlebook/journal/dossier"
	"fettlebook/journal/evidence"
	"fettlebook/journal/record"
	"fettlebook/sync/witness"
)

// dossierLog is what a dossier is made of, beside the originals.
type dossierLog interface {
	dossier.Log
	countersigned
	dossier.Thumbs
	dossier.Cards
}

// dossierOf builds dossiers out of a data folder, with the report and the open
// formats in them, and what others said of the hub's log.
func dossierOf(data string, log dossierLog, originals dossier.Originals) dossier.Builder {
	return dossier.Builder{Log: log, Thumbs: log, Originals: originals, Cards: log, Witnessed: witness.OpenDir(folder.WitnessedPath(data)), Papers: []dossier.Papers{report{log, originals}, openForms{log}}}
}

// report writes the report of a dossier, once for a screen and once for print.
type report struct {
	log       dossierLog
	originals dossier.Originals
}

// Write implements [dossier.Papers].
func (r report) Write(ctx context.Context, of *dossier.Told, add dossier.Add) error {
	seals := make(map[journal.JobID]*evidence.Receipt)
	for _, id := range of.About.Jobs {
		seal, err := sealOf(ctx, r.log, of.View, id)
		if err != nil && !errors.Is(err, errSealState) { // of that one the report says that it is not here
			return err
		}
		seals[id] = seal
	}
	asked := paper.Asked{At: of.At, Photos: allowed{r, of}, Beside: of.Asked, Seal: func(id journal.JobID) *evidence.Receipt { return seals[id] }}
	if of.Asked.Names {
		asked.Name = func(id journal.PersonID) string { return of.View.NameOf(id, r.log) }
	}
	doc, err := paper.NewReport(ctx, of.View, paper.About{Jobs: of.About.Jobs, Claim: of.About.Claim, Asked: of.About.Vehicle, Investigations: of.Investigations}, asked)
	if err != nil {
		return err
	}
	if err := add(ctx, evidence.ReportHTML, func(w io.Writer) error { return doc.HTML(w, paper.Screen{}) }); err != nil {
		return err
	}
	return add(ctx, evidence.ReportPDF, doc.PDF)
}

// mostLarge is how many bytes of originals a report makes large pictures of: to
// make one of 4 MB takes a tenth of a second. Beyond that a report shows
// thumbnails; the originals lie beside it.
const mostLarge = 100 << 20

// allowed are the photographs that a report may show, large if the originals
// are in the dossier and are not too many.
type allowed struct {
	report
	of *dossier.Told
}

// Picture implements [paper.Photos].
func (a allowed) Picture(ctx context.Context, p record.Photo) ([]byte, error) {
	switch says := a.of.Unshown(p.Ref); {
	case says != "":
		return nil, &paper.Unshown{Says: says}
	case a.of.Asked.Photos == evidence.Originals && a.of.Originals <= mostLarge:
		return paper.Large{Originals: a.originals, Thumbs: a.log}.Picture(ctx, p)
	default:
		return paper.Small{Thumbs: a.log}.Picture(ctx, p)
	}
}
