package write_test

import (
	"bytes"
	"net/http"
	"net/http/httptest"
	"testing"

	"fettlebook/journal"
)

// FuzzForm sends anything as a form. The page answers, and without a token
// nothing is ever written.
func FuzzForm(f *testing.F) {
	f.Add([]byte("--x\r\nContent-Disposition: form-data; name=\"do\"\r\n\r\nstep:plugs:1\r\n--x--\r\n"))
	f.Add([]byte("--x\r\nContent-Disposition: form-data; name=\"picture\"; filename=\"../../x\"\r\n\r\n\xff\xd8\xff\r\n--x--\r\n"))
	f.Add([]byte("--x\r\nContent-Disposition: form-data; name=\"features.9999.what\"\r\n\r\nbore\r\n--x\r\nContent-Disposition: form-data; name=\"do\"\r\n\r\nshrink:features:-1\r\n--x--"))
	f.Add([]byte("--x\r\nContent-Disposition: form-data; name=\"do\"\r\n\r\nsave\r\n--x--\r\n"))
	s := newShop(f)
	f.Fuzz(func(t *testing.T, body []byte) {
		r := httptest.NewRequest(http.MethodPost, maskPage+"?kind=bore.masked", bytes.NewReader(body))
		r.Header.Set("Content-Type", "multipart/form-data; boundary=x")
		w := httptest.NewRecorder()
		s.handler.ServeHTTP(w, r)
		if w.Code >= http.StatusInternalServerError {
			t.Errorf("answered %d", w.Code)
		}
		if n := len(s.lines(journal.BoreMasked)); n > 0 {
			t.Errorf("written %d times", n)
		}
	})
}
