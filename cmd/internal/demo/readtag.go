package demo

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"strings"

	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/tag"
	"fettlebook/journal"

	"rsc.io/qr"
)

// readTag photographs the code of a part's label, hands the photograph to the pages of
// a bench, and says to which page that leads there.
func (d *Day) readTag(ctx context.Context, s step) error {
	m, err := d.machine(s.On)
	if err != nil {
		return err
	}
	subject, err := d.names.fill(s.Subject)
	if err != nil {
		return err
	}
	identity, err := folder.ReadIdentity(m.dir)
	if err != nil {
		return err
	}
	of, err := journal.ParseSubject(subject)
	if err != nil {
		return err
	}
	code, err := qr.Encode(tag.Tag{Shop: identity.Shop, Of: of}.String(), qr.Q)
	if err != nil {
		return fmt.Errorf("draw the code of a label: %w", err)
	}
	page, err := m.scans(ctx, code.PNG())
	if err != nil {
		return err
	}
	if job := "/job/" + string(of.Job()); !strings.HasPrefix(page, job+"#") {
		return fmt.Errorf("the label of %s led to %q", of, page)
	}
	d.say("  the label says: %s; the tablet opens its job there", of.Place())
	return nil
}

// scans hands a photograph to the page that reads codes, and returns where it leads.
func (m *machine) scans(ctx context.Context, picture []byte) (string, error) {
	pages, err := m.pages(ctx)
	if err != nil {
		return "", err
	}
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	file, err := form.CreateFormFile("picture", "label.png")
	if err != nil {
		return "", err
	}
	if _, err := file.Write(picture); err != nil {
		return "", err
	}
	if err := form.Close(); err != nil {
		return "", err
	}
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, pages+"/scan", &body)
	if err != nil {
		return "", err
	}
	r.Header.Set("Content-Type", form.FormDataContentType())
	r.Header.Set("Origin", pages)                     // as a browser says where a form was sent from
	answer, err := http.DefaultTransport.RoundTrip(r) // it follows nowhere
	if err != nil {
		return "", fmt.Errorf("read a label at %s: %w", m.name, err)
	}
	defer answer.Body.Close()
	if answer.StatusCode != http.StatusSeeOther {
		said, _ := io.ReadAll(io.LimitReader(answer.Body, 4<<10)) // for the error only
		return "", fmt.Errorf("read a label at %s: %s: %s", m.name, answer.Status, said)
	}
	return answer.Header.Get("Location"), nil
}
