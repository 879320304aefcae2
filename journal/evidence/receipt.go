package evidence

import (
	"encoding/hex"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode"

	"fettlebook/journal"
)

// Receipt is what the customer was given at handover: what pins the record
// down. State is the first state of the hub's log that covers the seal and
// that the hub countersigned.
type Receipt struct {
	Shop    journal.ShopID
	Job     journal.JobID
	Seal    [32]byte // the root that record.sealed states
	Entries int      // how many entries it covers
	Hub     [32]byte // the fingerprint of the hub's keys
	Size    int64    // of the hub's log
	Root    [32]byte // of the hub's log at that size
	At      time.Time
}

// Fingerprint says which hub it is: SHA-256 of its log key and its
// countersigning key, as the founding entry states them, a line each.
func Fingerprint(logKey, cosignKey string) [32]byte {
	return journal.HubFingerprint(logKey, cosignKey)
}

// ReceiptForm begins the text of every receipt.
const ReceiptForm = "fettlebook receipt 1"

// The fields of a receipt's text, in their order.
const (
	receiptShop = iota
	receiptJob
	receiptSeal
	receiptEntries
	receiptHub
	receiptSize
	receiptRoot
	receiptAt
)

func receiptFields() []string {
	return []string{"shop:", "job:", "seal:", "entries:", "hub:", "log:", "root:", "at:"}
}

// receiptTime is UTC to the second, without colons.
const receiptTime = "20060102T150405Z"

// String writes the receipt as one line, which is also what its QR code holds:
//
//	fettlebook receipt 1 shop:k7m2q4xw job:4f7kk2m9 seal:46e9… entries:94 hub:0c1d… log:218 root:9af3… at:20260306T162100Z
func (r Receipt) String() string {
	values := []string{string(r.Shop), string(r.Job), hex.EncodeToString(r.Seal[:]), strconv.Itoa(r.Entries),
		hex.EncodeToString(r.Hub[:]), strconv.FormatInt(r.Size, 10), hex.EncodeToString(r.Root[:]), r.At.UTC().Format(receiptTime)}
	var text strings.Builder
	text.WriteString(ReceiptForm)
	for i, name := range receiptFields() {
		text.WriteString(" " + name + values[i])
	}
	return text.String()
}

// ErrReceipt is wrapped when a text is not a receipt's.
var ErrReceipt = errors.New("this is not the text of a receipt; it begins with “" + ReceiptForm + "” and stands at the foot of the receipt and in its code")

// ParseReceipt reads a receipt's text. Spaces, line breaks and marks that nobody
// sees do not count, wherever they are: a text that was copied from a page has
// them anywhere.
func ParseReceipt(text string) (Receipt, error) {
	if len(text) > MaxReceipt {
		return Receipt{}, fmt.Errorf("%w: it has %d bytes", ErrReceipt, len(text))
	}
	values, err := receiptValues(text)
	if err != nil {
		return Receipt{}, err
	}
	var r Receipt
	whole := func(field int, least, most int64) int64 {
		n, e := strconv.ParseInt(values[field], 10, 64)
		if e != nil || n < least || n > most || strconv.FormatInt(n, 10) != values[field] {
			err = errors.Join(err, fmt.Errorf("%.20q is not a number of entries", values[field]))
		}
		return n
	}
	hash := func(field int) (h [32]byte) {
		raw, e := hex.DecodeString(values[field])
		if e != nil || len(raw) != len(h) || strings.ToLower(values[field]) != values[field] {
			err = errors.Join(err, fmt.Errorf("%s is not followed by a hash of 64 digits", receiptFields()[field]))
			return h
		}
		return [32]byte(raw)
	}
	err = errors.Join(r.Shop.UnmarshalText([]byte(values[receiptShop])), r.Job.UnmarshalText([]byte(values[receiptJob])))
	r.Seal, r.Hub, r.Root = hash(receiptSeal), hash(receiptHub), hash(receiptRoot)
	r.Entries, r.Size = int(whole(receiptEntries, 1, MaxEntries)), whole(receiptSize, 1, journal.MaxLog)
	at, e := time.Parse(receiptTime, values[receiptAt])
	if r.At = at; e != nil {
		err = errors.Join(err, fmt.Errorf("%.30q is not a time such as 20260306T162100Z", values[receiptAt]))
	}
	if err != nil {
		return Receipt{}, fmt.Errorf("%w: %w", ErrReceipt, err)
	}
	return r, nil
}

// receiptValues takes the text apart. No value holds a colon, so each field's
// name is found behind the value before it, spaces or not.
func receiptValues(text string) ([]string, error) {
	text = strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || unicode.Is(unicode.Cf, r) {
			return -1
		}
		return r
	}, text)
	text, ok := strings.CutPrefix(text, strings.ReplaceAll(ReceiptForm, " ", ""))
	names := receiptFields()
	parts := strings.SplitAfter(text, ":")
	if !ok || len(parts) != len(names)+1 || parts[0] != names[0] {
		return nil, ErrReceipt
	}
	values := parts[1:]
	for i, next := range names[1:] {
		if values[i], ok = strings.CutSuffix(values[i], next); !ok {
			return nil, fmt.Errorf("%w: %s is missing", ErrReceipt, next)
		}
	}
	return values, nil
}
