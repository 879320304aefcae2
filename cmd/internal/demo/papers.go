package demo

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"

	"fettlebook/cmd/internal/verdict"
	"fettlebook/journal"
	"fettlebook/journal/evidence"
	"fettlebook/journal/words"
)

// Names of the files that the day leaves for the customer, in its folder.
const (
	ReceiptFile = "receipt.pdf"
	DossierFile = "dossier.zip"
)

// papers writes what the customer of a job is given, and what an expert would
// be sent, and has the one checked against the other.
func (d *Day) papers(ctx context.Context, job journal.JobID) error {
	receipt, file := filepath.Join(d.cfg.Dir, ReceiptFile), filepath.Join(d.cfg.Dir, DossierFile)
	said, err := d.command(ctx, "receipt", string(job), "-o", receipt, "--data", d.hub.dir)
	if err != nil {
		return err
	}
	d.say("the receipt of job %s, for the customer: %s", job, receipt)
	_, text, _ := strings.Cut(strings.TrimSpace(string(said)), "\n")
	seal, err := evidence.ParseReceipt(text)
	if err != nil {
		return fmt.Errorf("the receipt’s code: %w", err)
	}
	if _, err := d.command(ctx, "dossier", string(job), "-o", file, "--data", d.hub.dir); err != nil {
		return err
	}
	d.say("the dossier of job %s, for whoever wants to check it: %s", job, file)
	found, err := verdict.OfFile(ctx, file, evidence.Trusted{Receipt: &seal}, nil)
	if err != nil {
		return err
	}
	for _, q := range []evidence.Question{evidence.Receipted, evidence.Complete} {
		if a := found.Answer(q); a.Verdict != evidence.Yes {
			return fmt.Errorf("the dossier does not verify: %s %s", a.Asks, a.Says)
		}
	}
	if found.Verdict == evidence.No {
		return fmt.Errorf("the dossier does not verify: %s", found.Says)
	}
	d.say("checked by nothing but these two: %s", words.Sentence(found.Answer(evidence.Receipted).Says))
	return nil
}
