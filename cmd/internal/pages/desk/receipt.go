package desk

import (
	"bytes"
	"errors"
	"net/http"
	"net/url"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/cmd/internal/paper"
	"fettlebook/journal"
)

// receiptPath is where the receipt of a job is shown, to be printed or kept.
func receiptPath(id journal.JobID) string { return "/receipt/" + url.PathEscape(string(id)) }

// receipt shows the receipt of a job as the page that the customer gets.
func (d *Desk) receipt(w http.ResponseWriter, r *http.Request) {
	doc := d.receiptOf(w, r)
	if doc == nil {
		return
	}
	id := journal.JobID(r.PathValue("job"))
	var page bytes.Buffer
	err := doc.HTML(&page, paper.Screen{Links: []paper.Link{{Say: "Back to the record", Path: readonly.JobPath(id)}, {Say: "As a PDF, to print or to send", Path: receiptPath(id) + "/pdf"}}})
	if err != nil {
		d.broken(w, r, err)
		return
	}
	// A paper has its style and its pictures in it, and nothing else.
	w.Header().Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'")
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	_, _ = page.WriteTo(w) // who is gone needs no page
}

// receiptPDF gives the same for print.
func (d *Desk) receiptPDF(w http.ResponseWriter, r *http.Request) {
	doc := d.receiptOf(w, r)
	if doc == nil {
		return
	}
	var file bytes.Buffer
	if err := doc.PDF(&file); err != nil {
		d.broken(w, r, err)
		return
	}
	w.Header().Set("Content-Type", "application/pdf")
	w.Header().Set("Content-Disposition", `inline; filename="receipt-`+url.PathEscape(r.PathValue("job"))+`.pdf"`)
	w.Header().Set("Cache-Control", "no-store")
	_, _ = file.WriteTo(w)
}

// receiptOf writes the receipt, or says why there is none.
func (d *Desk) receiptOf(w http.ResponseWriter, r *http.Request) *paper.Document {
	s := d.Live.View(r.Context())
	st := s.Standing(journal.JobID(r.PathValue("job")))
	if st == nil {
		d.missing(w, r, "There is no job "+r.PathValue("job")+" here. It may still be on a tablet that the hub has not heard of.")
		return nil
	}
	doc, err := d.Receipt(r.Context(), s, st)
	var broken *paper.SealBroken
	switch {
	case errors.Is(err, paper.ErrNotHandedBack):
		d.none(w, r, "This vehicle was not handed back yet. Its receipt is written at handover.")
	case errors.As(err, &broken):
		d.none(w, r, broken.Says)
	case err != nil:
		d.broken(w, r, err)
	default:
		return doc
	}
	return nil
}

// none says why there is no receipt.
func (d *Desk) none(w http.ResponseWriter, r *http.Request, sentence string) {
	d.asks(w, r, http.StatusConflict, "notice", "No receipt", notice{Title: "No receipt", Sentence: sentence})
}

func (d *Desk) broken(w http.ResponseWriter, r *http.Request, err error) {
	d.Logger.ErrorContext(r.Context(), "write a receipt", "job", r.PathValue("job"), "error", err)
	d.shell.Page(w, r, http.StatusInternalServerError, "notice", pages.View{Title: "No receipt", Frame: d.Frame(r, d.Live.View(r.Context())), Data: notice{Title: "No receipt",
		Sentence: "The receipt could not be written. Nothing is lost: the record has all of it. The log on this machine says why."}})
}
