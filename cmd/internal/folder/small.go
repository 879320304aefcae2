package folder

import (
	"slices"
	"sync"

	"fettlebook/media"
)

// mostSmall is how many thumbnails are remembered: those of the photographs
// that are being taken, at most 64 KB each.
const mostSmall = 32

// smalls remembers the thumbnails that were made or asked for last. One is asked for
// when a photograph is taken, shown and stamped; to make it decodes the original.
type smalls struct {
	mu   sync.Mutex
	list []small // the last one last
}

type small struct {
	of    media.Ref
	bytes []byte
}

// get returns the thumbnail of an original, nil if it is not remembered.
func (s *smalls) get(of media.Ref) []byte {
	s.mu.Lock()
	defer s.mu.Unlock()
	i := slices.IndexFunc(s.list, func(t small) bool { return t.of == of })
	if i < 0 {
		return nil
	}
	t := s.list[i]
	s.list = append(slices.Delete(s.list, i, i+1), t)
	return t.bytes
}

func (s *smalls) put(of media.Ref, bytes []byte) {
	s.forget(of)
	s.mu.Lock()
	defer s.mu.Unlock()
	s.list = append(s.list, small{of, bytes})
	if more := len(s.list) - mostSmall; more > 0 {
		s.list = slices.Delete(s.list, 0, more)
	}
}

func (s *smalls) forget(of media.Ref) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.list = slices.DeleteFunc(s.list, func(t small) bool { return t.of == of })
}
