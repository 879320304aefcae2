package readonly

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strings"
	"time"

	"fettlebook/journal/words"
	"fettlebook/media"
)

// kept is how long a browser may keep a photograph without asking. Its bytes
// never change, but a photograph can be withdrawn, and then it is gone from
// browsers after a day.
const kept = "private, max-age=86400, immutable"

// refOf reads the reference in a path, or says that it is none.
func (p *Paper) refOf(w http.ResponseWriter, r *http.Request) (media.Ref, bool) {
	ref, err := media.ParseHex(strings.TrimPrefix(r.PathValue("ref"), "sha256:"))
	if err != nil {
		p.Missing(w, r, "This is not a reference of a photograph: it has 64 digits of 0-9 and a-f.")
		return ref, false
	}
	return ref, true
}

const (
	unnamed   = "No entry on this machine names this photograph."
	withdrawn = "This photograph was withdrawn: the picture is deleted, and its hash stays in the record."
)

// thumb serves a thumbnail. The log holds those that entries name.
func (p *Paper) thumb(w http.ResponseWriter, r *http.Request) {
	ref, ok := p.refOf(w, r)
	if !ok {
		return
	}
	raw, err := p.Thumbs.Thumb(r.Context(), ref)
	if err == nil {
		p.picture(w, r, ref, bytes.NewReader(raw))
		return
	}
	switch gone, err2 := p.Thumbs.Withdrawn(r.Context(), ref); {
	case err2 == nil && gone:
		p.say(w, r, http.StatusGone, "Withdrawn", withdrawn)
	case err2 == nil && errors.Is(err, media.ErrNotHere):
		p.Missing(w, r, unnamed)
	default:
		p.unreadable(w, r, fmt.Errorf("read thumbnail: %w", errors.Join(err, err2)))
	}
}

func (p *Paper) photo(w http.ResponseWriter, r *http.Request) {
	ref, ok := p.refOf(w, r)
	if !ok {
		return
	}
	switch named, gone := p.Live.View(r.Context()).Photo(ref); {
	case !named:
		p.Missing(w, r, unnamed)
		return
	case gone:
		p.say(w, r, http.StatusGone, "Withdrawn", withdrawn)
		return
	}
	in, _, err := p.Originals.Open(r.Context(), ref)
	if errors.Is(err, media.ErrNotHere) {
		p.Missing(w, r, p.away(err))
		return
	}
	if err != nil {
		p.unreadable(w, r, fmt.Errorf("open original: %w", err))
		return
	}
	defer in.Close()
	p.picture(w, r, ref, in)
}

// away says where an original is that is not on this machine.
func (p *Paper) away(err error) string {
	var away *media.Away
	if errors.As(err, &away) {
		return words.Sentence(away.Error())
	}
	return p.Elsewhere
}

// picture serves bytes as what they are, never as what somebody called them.
func (p *Paper) picture(w http.ResponseWriter, r *http.Request, ref media.Ref, in io.ReadSeeker) {
	head := make([]byte, 8)
	n, err := io.ReadFull(in, head)
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) {
		p.unreadable(w, r, fmt.Errorf("read photograph: %w", err))
		return
	}
	if _, err := in.Seek(0, io.SeekStart); err != nil {
		p.unreadable(w, r, fmt.Errorf("read photograph: %w", err))
		return
	}
	kind := pictureType(head[:n])
	if kind == "" {
		p.unreadable(w, r, errors.New("the bytes are neither JPEG nor PNG"))
		return
	}
	h := w.Header()
	h.Set("Content-Type", kind)
	h.Set("Cache-Control", kept)
	h.Set("ETag", `"`+ref.Hex()+`"`)
	h.Set("X-Content-Type-Options", "nosniff")
	http.ServeContent(w, r, "", time.Time{}, in)
}

// pictureType tells the two formats that are let in by their first bytes
// (ISO/IEC 10918-1 and the PNG specification).
func pictureType(head []byte) string {
	switch {
	case bytes.HasPrefix(head, []byte("\xff\xd8")):
		return "image/jpeg"
	case bytes.HasPrefix(head, []byte("\x89PNG\r\n\x1a\n")):
		return "image/png"
	default:
		return ""
	}
}

func (p *Paper) unreadable(w http.ResponseWriter, r *http.Request, err error) {
	p.Logger.ErrorContext(r.Context(), "show photograph", "path", r.URL.Path, "error", err)
	p.say(w, r, http.StatusInternalServerError, "Not readable", "This photograph cannot be read on this machine; the record names it all the same. The log on this machine says why.")
}
