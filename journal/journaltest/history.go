package journaltest

import (
	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/media"
)

// History is the entries of one log from its first on, held by whoever has
// its key. It makes segments as the log's own device would, also such that
// contradict what the device showed before.
type History struct {
	Key     proof.Key
	Device  journal.DeviceID
	Entries [][]byte
	Thumbs  map[media.Ref][]byte
}

// Segment returns the entries from first up to end with a signed checkpoint.
func (h *History) Segment(first, end int64) (journal.Segment, error) {
	signed, err := h.Checkpoint(end)
	if err != nil {
		return journal.Segment{}, err
	}
	s := journal.Segment{
		Device:     h.Device,
		First:      first,
		Entries:    append([][]byte(nil), h.Entries[first:end]...),
		Thumbs:     map[media.Ref][]byte{},
		Checkpoint: signed,
	}
	for _, raw := range s.Entries {
		carry(&s, raw, h.Thumbs)
	}
	return s, nil
}

// Checkpoint signs the first size entries.
func (h *History) Checkpoint(size int64) ([]byte, error) {
	tree := new(proof.Tree)
	for _, raw := range h.Entries[:size] {
		tree.Append(raw)
	}
	return proof.Sign(h.Key.Signer(), tree.Size(), tree.Root())
}

// carry adds the thumbnails that an entry names, as far as they are here.
func carry(s *journal.Segment, raw []byte, thumbs map[media.Ref][]byte) {
	for _, ref := range named(raw) {
		if thumb, ok := thumbs[ref]; ok {
			s.Thumbs[ref] = thumb
		}
	}
}

// named lists the thumbnails that an entry names; none if it cannot be read.
func named(raw []byte) (refs []media.Ref) {
	e, err := journal.Decode(raw)
	if err != nil {
		return nil
	}
	photos, err := e.Photos()
	if err != nil {
		return nil
	}
	for _, p := range photos {
		refs = append(refs, p.Thumb)
	}
	return refs
}
