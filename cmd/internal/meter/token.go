package meter

import (
	"crypto/sha256"
	"crypto/subtle"
	"errors"
	"fmt"
	"net/http"
	"os"
	"strings"
)

// Token is what a program on another machine shows to be answered. Only its hash is kept.
type Token struct{ sum [sha256.Size]byte }

// How long a token is. Nobody types one, so it may be long enough never to be guessed.
const (
	leastToken = 20
	mostToken  = 512
)

// ErrToken is wrapped when a file holds no token.
var ErrToken = errors.New("the file of the token must hold one line of 20 to 512 letters, digits and marks without spaces, such as `openssl rand -hex 24` prints")

// ReadToken reads a token out of its file.
func ReadToken(path string) (*Token, error) {
	raw, err := os.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("read the token: %w", err)
	}
	text := strings.TrimSpace(string(raw))
	if len(text) < leastToken || len(text) > mostToken || strings.ContainsFunc(text, func(r rune) bool { return r <= ' ' || r > '~' }) {
		return nil, fmt.Errorf("%w (%s)", ErrToken, path)
	}
	return &Token{sum: sha256.Sum256([]byte(text))}, nil
}

// Shown reports whether a request shows the token. How long that takes tells nothing of it.
func (t *Token) Shown(r *http.Request) bool {
	word, text, _ := strings.Cut(r.Header.Get("Authorization"), " ")
	sum := sha256.Sum256([]byte(text))
	return subtle.ConstantTimeCompare(sum[:], t.sum[:]) == 1 && strings.EqualFold(word, "Bearer") // RFC 6750, section 2.1; RFC 9110, section 11.1
}

// Require lets only requests through that show the token. The others are told to refused.
func (t *Token) Require(next http.Handler, refused func(*http.Request)) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !t.Shown(r) {
			refused(r)
			w.Header().Set("WWW-Authenticate", "Bearer")
			http.Error(w, "This is told only to programs that show the token: Authorization: Bearer, and the text of the file that --token-file names.", http.StatusUnauthorized)
			return
		}
		next.ServeHTTP(w, r)
	})
}
