package witness

import (
	"encoding/base64"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"fettlebook/journal"

	"golang.org/x/mod/sumdb/tlog"
)

// AddCheckpoint is the end of the address at which a witness is asked.
const AddCheckpoint = "/add-checkpoint"

const (
	maxProof   = 63       // hashes, as the standard says
	maxRequest = 64 << 10 // a proof, and a state with as many signatures as a note may have
	maxAnswer  = 16 << 10
	sizeType   = "text/x.tlog.size"
)

// request asks a witness to sign a state of a log, which is proven to have
// grown out of the one of old entries.
type request struct {
	old   int64
	proof tlog.TreeProof
	note  []byte
}

func (q request) encode() []byte {
	var b strings.Builder
	fmt.Fprintf(&b, "old %d\n", q.old)
	for _, h := range q.proof {
		b.WriteString(base64.StdEncoding.EncodeToString(h[:]) + "\n")
	}
	return append([]byte(b.String()+"\n"), q.note...)
}

var errRequest = errors.New("the request is not one to add a checkpoint")

// parse reads a request. What is signed in it is not checked.
func parse(raw []byte) (q request, err error) {
	head, note, ok := strings.Cut(string(raw), "\n\n")
	first, lines, _ := strings.Cut(head, "\n")
	number, old := strings.CutPrefix(first, "old ")
	if q.old, err = parseSize(number); err != nil || !ok || !old {
		return request{}, errRequest
	}
	if lines != "" {
		for line := range strings.SplitSeq(lines, "\n") {
			h, err := base64.StdEncoding.Strict().DecodeString(line)
			if err != nil || len(h) != tlog.HashSize || len(q.proof) == maxProof {
				return request{}, errRequest
			}
			q.proof = append(q.proof, tlog.Hash(h))
		}
	}
	q.note = []byte(note)
	return q, nil
}

// parseSize reads how many entries a log has.
func parseSize(text string) (int64, error) {
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil || n < 0 || n > journal.MaxLog || strconv.FormatInt(n, 10) != text {
		return 0, errRequest
	}
	return n, nil
}
