package evidence

import (
	"fmt"
	"strconv"
	"strings"

	"fettlebook/journal"
	"fettlebook/media"
)

// DossierPath is where the [Dossier] lies; like all paths here, below data/.
const DossierPath = "dossier.json"

// The papers for people. Nothing is checked of them but that they are whole.
const (
	ReportPDF     = "report.pdf"
	ReportHTML    = "report.html"
	RoutesFolder  = "route/"
	SchemasFolder = "schemas/"
	OpenFolder    = "open/"
)

// Ext is how the name of a photograph ends, which says its format.
type Ext string

// The formats of photographs.
const (
	JPG Ext = "jpg"
	PNG Ext = "png"
)

// ExtOf returns how the name of a photograph of the format ends.
func ExtOf(f media.Format) Ext {
	if f == media.PNG {
		return PNG
	}
	return JPG
}

// At is the place of an entry, written DEVICE/INDEX: the INDEX-th entry, from
// 0, of a device's log.
type At journal.Position

// String returns the written form.
func (a At) String() string { return string(a.Device) + "/" + strconv.FormatInt(a.Index, 10) }

// Compare orders places by device, then index.
func (a At) Compare(b At) int {
	if c := strings.Compare(string(a.Device), string(b.Device)); c != 0 {
		return c
	}
	return int(min(max(a.Index-b.Index, -1), 1))
}

// MarshalText writes the written form.
func (a At) MarshalText() ([]byte, error) { return []byte(a.String()), nil }

// UnmarshalText reads the written form strictly.
func (a *At) UnmarshalText(text []byte) error {
	device, number, _ := strings.Cut(string(text), "/")
	var got At
	if err := got.Device.UnmarshalText([]byte(device)); err != nil {
		return err
	}
	n, err := strconv.ParseInt(number, 10, 64)
	if err != nil || n < 0 || n >= journal.MaxLog || strconv.FormatInt(n, 10) != number {
		return fmt.Errorf("%.80q is not the place of an entry such as t3fz8c1n/17", text)
	}
	got.Index = n
	*a = got
	return nil
}

// EntryPath is where an entry's exact bytes lie.
func EntryPath(a At) string { return fmt.Sprintf("entries/%s/%d.json", a.Device, a.Index) }

// ProofPath is where the proof lies that the entry is in its log.
func ProofPath(a At) string { return fmt.Sprintf("proofs/%s/%d.tlog-proof", a.Device, a.Index) }

// CheckpointPath is where a signed state of a log lies.
func CheckpointPath(device journal.DeviceID, size int64) string {
	return fmt.Sprintf("logs/%s/%d.checkpoint", device, size)
}

// StampPath is where a timestamp authority's answer over a state of the hub's
// log lies, as it came (RFC 3161).
func StampPath(hub journal.DeviceID, size int64) string {
	return fmt.Sprintf("logs/%s/%d.tsr", hub, size)
}

// CardPath is where a customer card lies.
func CardPath(card journal.CardID) string { return fmt.Sprintf("cards/%s.json", card) }

// OriginalPath is where an original photograph lies.
func OriginalPath(ref media.Ref, f Ext) string { return photoPath("original", ref, f) }

// CopyPath is where the copy without location lies of the original that has
// the hash.
func CopyPath(ref media.Ref, f Ext) string { return photoPath("copy", ref, f) }

// ThumbPath is where a thumbnail lies. Thumbnails are JPEG.
func ThumbPath(thumb media.Ref) string { return photoPath("thumbnail", thumb, JPG) }

func photoPath(folder string, ref media.Ref, f Ext) string {
	return fmt.Sprintf("photos/%s/%s.%s", folder, ref.Hex(), f)
}
