package tags_test

import (
	"bytes"
	"fmt"
	"net/http/httptest"
	"os"
	"path/filepath"
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"

	"rsc.io/qr"
)

// A tag is held before the camera, and its part is there: the program reads the
// frames, since this browser cannot.
func TestScansWithTheCamera(t *testing.T) {
	s := newSite(t)
	server := httptest.NewServer(s.handler)
	t.Cleanup(server.Close)
	sees := filepath.Join(t.TempDir(), "tag.y4m")
	if err := os.WriteFile(sees, film(t, on(caliper)), 0o600); err != nil {
		t.Fatal(err)
	}
	p := browsertest.StartWithCamera(t, filepath.Join(t.TempDir(), "profile"), browsertest.Lens(sees)).Page(browsertest.Phone)
	p.Open(server.URL + "/scan?for=powder.applied")
	p.Sees("Put 1 part on the run")
	if dir := os.Getenv("FETTLEBOOK_SHOTS"); dir != "" {
		p.Shot(filepath.Join(dir, "scan-phone.png"))
	}
	if seen := append(append(p.Targets(60), p.SmallText(18)...), p.Overflow()...); len(seen) > 0 {
		t.Errorf("for gloves: %q", seen)
	}
	p.Open(server.URL + "/labels/job/4f7kk2m9")
	if dir := os.Getenv("FETTLEBOOK_SHOTS"); dir != "" {
		p.Shot(filepath.Join(dir, "labels-phone.png"))
	}
	if seen := append(append(p.Targets(60), p.SmallText(18)...), p.Overflow()...); len(seen) > 0 {
		t.Errorf("for gloves: %q", seen)
	}
	p.Open(server.URL + "/scan")
	p.Sees("the job 4f7kk2m9")
	if seen := p.Complaints(); len(seen) > 0 {
		t.Errorf("the browser complains: %q", seen)
	}
}

// film is a moving picture of a code on a table, as a camera of 640 by 480 sees it
// (YUV4MPEG2).
func film(t testing.TB, text string) []byte {
	t.Helper()
	c, err := qr.Encode(text, qr.Q)
	if err != nil {
		t.Fatal(err)
	}
	const wide, tall, module = 640, 480, 7
	var b bytes.Buffer
	fmt.Fprintf(&b, "YUV4MPEG2 W%d H%d F10:1 Ip A1:1 C420\n", wide, tall)
	for range 2 {
		b.WriteString("FRAME\n")
		for y := range tall {
			for x := range wide {
				light := byte(180)
				u, v := (x-150)/module, (y-70)/module
				if x >= 150 && y >= 70 && c.Black(u, v) {
					light = 40
				}
				b.WriteByte(light)
			}
		}
		b.Write(bytes.Repeat([]byte{128}, wide*tall/2))
	}
	return b.Bytes()
}
