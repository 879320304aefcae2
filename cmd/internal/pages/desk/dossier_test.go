package desk_test

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/desk"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/bag"
	"fettlebook/journal/dossier"
	"fettlebook/journal/evidence"
)

func TestDossier(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	job := o.Job("job")
	page := "/dossier/job/" + string(job)
	o.get("/job/"+string(job)).well(http.StatusOK).says("Dossier of this job", `href="`+page+`"`)
	o.get(page).well(http.StatusOK).says("A dossier of job "+string(job), "Build and download", `value="originals" checked`)
	o.get("/dossier/job/zzzzzzzz").well(http.StatusNotFound)
	o.get("/dossier/complaint/nothing").well(http.StatusNotFound)
	o.get("/dossier/vehicle/plate/nothing").well(http.StatusNotFound)

	a := o.post(page, url.Values{"photos": {"thumbnails"}})
	if a.status != http.StatusOK || a.header.Get("Content-Type") != "application/zip" || a.header.Get("Content-Disposition") != `attachment; filename="dossier-`+string(job)+`.zip"` {
		t.Fatalf("status %d, %v: %.300s", a.status, a.header, a.body)
	}
	b, err := bag.Open(strings.NewReader(a.body), int64(len(a.body)))
	if err != nil {
		t.Fatal(err)
	}
	f, err := evidence.Verify(t.Context(), b, evidence.Trusted{}, nil)
	if err != nil || f.Verdict == evidence.No {
		t.Errorf("it does not verify: %v: %+v", err, f)
	}
}

// refusing builds nothing.
type refusing struct{ desk.Dossiers }

func (refusing) Build(context.Context, *live.Snapshot, dossier.Subject, dossier.Asked, io.Writer) (*evidence.Dossier, error) {
	return nil, &dossier.Broken{Sentence: "The seal does not fit."}
}

// halfway writes some bytes and waits until nobody wants more.
type halfway struct {
	desk.Dossiers
	begun chan struct{}
	ended chan error
}

func (h halfway) Build(ctx context.Context, _ *live.Snapshot, _ dossier.Subject, _ dossier.Asked, w io.Writer) (*evidence.Dossier, error) {
	_, err := w.Write(bytes.Repeat([]byte("x"), 1<<16))
	if err == nil {
		close(h.begun)
		<-ctx.Done()
		err = ctx.Err()
	}
	h.ended <- err
	return nil, err
}

// A seal that does not fit is told before anything is sent, and asked about.
func TestDossierRefused(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	o.Write("job/4f7kk2m9", "io", &journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471"}})
	o.desk.Dossier = refusing{}
	o.post("/dossier/job/4f7kk2m9", url.Values{"photos": {"none"}}).well(http.StatusConflict).says("The seal does not fit.", `name="broken"`, `value="none" checked`)
}

// Who leaves the page ends the build.
func TestDossierLeft(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	o.Write("job/4f7kk2m9", "io", &journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471"}})
	h := halfway{begun: make(chan struct{}), ended: make(chan error, 1)}
	o.desk.Dossier = h
	server := httptest.NewServer(o.inside)
	defer server.Close()
	ctx, leave := context.WithCancel(t.Context())
	defer leave()
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, server.URL+"/dossier/job/4f7kk2m9", nil)
	if err != nil {
		t.Fatal(err)
	}
	go func() {
		<-h.begun
		leave()
	}()
	if resp, err := http.DefaultClient.Do(r); err == nil {
		_, _ = io.Copy(io.Discard, resp.Body)
		_ = resp.Body.Close()
	}
	if err := <-h.ended; err == nil {
		t.Error("the build went on")
	}
}
