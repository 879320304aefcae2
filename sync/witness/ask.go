package witness

import (
	"bytes"
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"math/big"
	"net/http"
	"strings"

	"fettlebook/journal/proof"
	"fettlebook/journal/witnessed"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

// Peer is a witness that is asked, such as another shop's hub.
type Peer struct {
	URL string // its submission prefix, before /add-checkpoint
	Key note.Verifier
	// HTTP asks. An answer counts by its signature alone, so that a hub's own
	// certificate, which no other shop knows, is good enough.
	HTTP *http.Client

	signed int64 // the size that it said it signed last; of one Keeper
}

// Answers that say what is wrong, and not only that something is.
var (
	ErrAnswer   = errors.New("the answer is not the one that was asked for")
	ErrUnknown  = errors.New("the witness does not know this log; have its key added there")
	ErrWrongKey = errors.New("the witness knows this log by another key")
	// ErrAhead says that the hub's log was longer once than it is now, or that
	// another hub goes by its key.
	ErrAhead = errors.New("a longer state of this log was witnessed than the one that is here; the hub may run on an old copy of its data")
	// ErrHistory says that the witness holds another history of this log.
	ErrHistory = errors.New("the witness signed another history of this log than the one that is here")
)

// Grown proves that the log grew from one size to another.
type Grown func(ctx context.Context, size, old int64) (tlog.TreeProof, error)

// Sign asks the witness for its lines on a state, and returns the state with
// them.
func (p *Peer) Sign(ctx context.Context, c proof.Checkpoint, grown Grown) ([]byte, error) {
	for again := false; ; again = true {
		if p.signed > c.Size {
			p.signed = 0 // asked again next time: anybody in between can say so once
			return nil, ErrAhead
		}
		q := request{old: p.signed, note: c.Note}
		if q.old > 0 && q.old < c.Size {
			var err error
			if q.proof, err = grown(ctx, c.Size, q.old); err != nil {
				return nil, err
			}
		}
		status, answer, err := post(ctx, p.HTTP, strings.TrimSuffix(p.URL, "/")+AddCheckpoint, "text/plain; charset=utf-8", q.encode(), maxAnswer)
		if err != nil {
			return nil, err
		}
		switch status {
		case http.StatusOK:
			signed, err := witnessed.AddLines(c.Note, string(answer), p.Key)
			if err == nil {
				p.signed = c.Size
			}
			return signed, err
		case http.StatusConflict:
			size, err := parseSize(strings.TrimSuffix(string(answer), "\n"))
			if err != nil {
				return nil, ErrAnswer
			}
			if again || size == q.old {
				return nil, ErrHistory
			}
			p.signed = size
		case http.StatusUnprocessableEntity:
			return nil, ErrHistory
		case http.StatusNotFound:
			return nil, ErrUnknown
		case http.StatusForbidden:
			return nil, ErrWrongKey
		default:
			return nil, fmt.Errorf("%w: status %d", ErrAnswer, status)
		}
	}
}

// Authority is a timestamp authority.
type Authority struct {
	URL  string
	HTTP *http.Client
	Rand io.Reader
}

// The types of questions to an authority, and of its answers (RFC 3161, 3.4).
const (
	questionType = "application/timestamp-query"
	answerType   = "application/timestamp-reply"
)

// Stamp asks for a timestamp of a state, and returns the answer as it came
// once it is checked.
func (a *Authority) Stamp(ctx context.Context, state []byte) ([]byte, witnessed.Stamp, error) {
	nonce, err := rand.Int(a.Rand, new(big.Int).Lsh(big.NewInt(1), 64))
	if err != nil {
		return nil, witnessed.Stamp{}, fmt.Errorf("ask for a timestamp: %w", err)
	}
	question, err := witnessed.AskStamp(state, nonce)
	if err != nil {
		return nil, witnessed.Stamp{}, err
	}
	status, answer, err := post(ctx, a.HTTP, a.URL, questionType, question, witnessed.MaxStamp)
	if err != nil {
		return nil, witnessed.Stamp{}, err
	}
	if status != http.StatusOK {
		return nil, witnessed.Stamp{}, fmt.Errorf("%w: status %d", ErrAnswer, status)
	}
	s, err := witnessed.CheckAnswer(answer, state, nonce)
	return answer, s, err
}

// post asks and reads an answer of at most so many bytes.
func post(ctx context.Context, c *http.Client, url, kind string, body []byte, most int64) (status int, answer []byte, err error) {
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, url, bytes.NewReader(body))
	if err != nil {
		return 0, nil, fmt.Errorf("ask: %w", err)
	}
	r.Header.Set("Content-Type", kind)
	if kind == questionType {
		r.Header.Set("Accept", answerType)
	}
	got, err := c.Do(r)
	if err != nil {
		return 0, nil, fmt.Errorf("ask: %w", err)
	}
	defer got.Body.Close()
	answer, err = io.ReadAll(io.LimitReader(got.Body, most+1))
	if err != nil {
		return 0, nil, fmt.Errorf("read the answer: %w", err)
	}
	if int64(len(answer)) > most {
		return 0, nil, fmt.Errorf("%w: it has more than %d bytes", ErrAnswer, most)
	}
	return got.StatusCode, answer, nil
}
