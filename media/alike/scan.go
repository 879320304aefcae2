package alike

import "encoding/binary"

// fast is how many bits of a code are looked up at once.
const fast = 11

// codes is a table of Huffman codes.
type codes struct {
	symbol [1 << fast]uint16 // length of the code and the symbol; 0 of longer codes
	skip   [1 << fast]uint16 // of coefficients: the bits in all, and how many places they go on
	values []byte
	first  [17]int // the first code of each length, and where its values are
	last   [17]int // the code behind the last
	begin  [17]int
}

func (b *blocks) tables(body []byte) error {
	for len(body) > 0 {
		if len(body) < 17 {
			return errBroken
		}
		class, id := body[0]>>4, body[0]&15
		total := 0
		for _, n := range body[1:17] {
			total += int(n)
		}
		if class > 1 || id > 3 || total > 256 || len(body) < 17+total {
			return errBroken
		}
		t, err := newCodes(body[1:17], body[17:17+total])
		if err != nil {
			return err
		}
		if class == 0 {
			b.dc[id] = t
		} else {
			b.ac[id] = t
		}
		body = body[17+total:]
	}
	return nil
}

func newCodes(counts, values []byte) (*codes, error) {
	t := &codes{values: values}
	code, at := 0, 0
	for length := 1; length <= 16; length++ {
		t.first[length], t.begin[length] = code, at
		for range counts[length-1] {
			if code >= 1<<length {
				return nil, errBroken
			}
			if length <= fast {
				symbol := values[at]
				for i := code << (fast - length); i < (code+1)<<(fast-length); i++ {
					t.symbol[i] = uint16(length)<<8 | uint16(symbol)
					t.skip[i] = skipped(length, symbol)
				}
			}
			code, at = code+1, at+1
		}
		t.last[length] = code
		code <<= 1
	}
	return t, nil
}

// end is how far a symbol goes on behind which no coefficient of a block comes.
const end = 64

// skipped is what a coefficient's symbol steps over: the bits of the code and of
// the number behind it, and how many places.
func skipped(length int, symbol byte) uint16 {
	run, size := int(symbol>>4), int(symbol&15)
	places := run + 1
	if size == 0 && run < 15 {
		places = end
	}
	return uint16(places)<<8 | uint16(length+size)
}

// bits reads the coded part of a scan.
type bits struct {
	raw    []byte
	at     int
	held   uint64 // the next bits, the first highest
	n      uint
	beyond int // bits that were made up behind the end
}

// By these it is found whether one of eight bytes is 0xff.
const (
	low  = 0x0101010101010101
	high = 0x8080808080808080
)

// fill holds at least 32 bits. Behind the end there are zeros.
func (r *bits) fill() {
	if r.at+8 <= len(r.raw) {
		next := binary.BigEndian.Uint64(r.raw[r.at:])
		if (^next-low)&next&high == 0 {
			r.held |= next >> r.n
			taken := (64 - r.n) / 8
			r.at += int(taken)
			r.n += 8 * taken
			r.held &= ^uint64(0) << (64 - r.n)
			return
		}
	}
	for r.n <= 56 {
		var b byte
		switch {
		case r.at >= len(r.raw):
			r.beyond += 8
		case r.raw[r.at] != 0xff:
			b = r.raw[r.at]
			r.at++
		case r.at+1 < len(r.raw) && r.raw[r.at+1] == 0:
			b = 0xff
			r.at += 2
		default: // a marker
			r.beyond += 8
		}
		r.held |= uint64(b) << (56 - r.n)
		r.n += 8
	}
}

// over reports whether what was read stands behind the end.
func (r *bits) over() bool { return r.beyond > int(r.n)+64 }

func (r *bits) drop(n uint) { r.held, r.n = r.held<<n, r.n-n }

// next reads a symbol, of a code that is known.
func (r *bits) next(t *codes) (symbol byte, ok bool) {
	if r.n < 32 {
		r.fill()
	}
	if e := t.symbol[r.held>>(64-fast)]; e != 0 {
		r.drop(uint(e >> 8))
		return byte(e), true
	}
	for length := fast + 1; length <= 16; length++ {
		code := int(r.held >> (64 - length))
		if code >= t.first[length] && code < t.last[length] {
			r.drop(uint(length))
			return t.values[t.begin[length]+code-t.first[length]], true
		}
	}
	return 0, false
}

// mean reads by how much a block's mean differs from the one before.
func (r *bits) mean(t *codes) (diff int, ok bool) {
	size, ok := r.next(t)
	if !ok || size > 15 {
		return 0, false
	}
	if size == 0 {
		return 0, true
	}
	if r.n < 32 {
		r.fill()
	}
	diff = int(r.held >> (64 - uint(size)))
	r.drop(uint(size))
	if diff < 1<<(size-1) {
		diff -= 1<<size - 1
	}
	return diff, true
}

// rest steps over the other coefficients of a block. Nearly all the time that a
// picture takes is spent here.
func (r *bits) rest(t *codes) bool {
	held, n := r.held, r.n
	for k := 1; k < 64; {
		if n < 32 {
			if at := r.at; at+8 <= len(r.raw) {
				next := binary.BigEndian.Uint64(r.raw[at:])
				if (^next-low)&next&high == 0 {
					held |= next >> n
					taken := (64 - n) >> 3
					r.at, n = at+int(taken), n+taken<<3
					held &= ^uint64(0) << (64 - n)
				}
			}
			if n < 32 {
				r.held, r.n = held, n
				r.fill()
				held, n = r.held, r.n
			}
		}
		e := uint(t.skip[held>>(64-fast)])
		if e == 0 {
			r.held, r.n = held, n
			symbol, ok := r.next(t)
			if !ok {
				return false
			}
			if r.n < 32 {
				r.fill()
			}
			held, n = r.held, r.n
			e = uint(skipped(0, symbol))
		}
		bits := e & 63
		held, n = held<<bits, n-bits
		k += int(e >> 8)
	}
	r.held, r.n = held, n
	return true
}

// scan reads the means that are in a scan, if there are any.
func (b *blocks) scan(body []byte) error {
	if len(body) < 1 || len(body) < 4+2*int(body[0]) || len(b.parts) == 0 {
		return errBroken
	}
	n := int(body[0])
	start, approximation := body[1+2*n], body[3+2*n]
	if start > 0 || approximation>>4 > 0 {
		return nil // of a progressive one, what makes it finer
	}
	shift := uint(approximation & 15)
	var in []*component
	var dc, ac []*codes
	for i := range n {
		id, tables := int(body[1+2*i]), body[2+2*i]
		if tables>>4 > 3 || tables&15 > 3 {
			return errBroken
		}
		for j := range b.parts {
			if c := &b.parts[j]; c.id == id && !c.read {
				c.read = true
				in, dc, ac = append(in, c), append(dc, b.dc[tables>>4]), append(ac, b.ac[tables&15])
				if dc[len(dc)-1] == nil || !b.progressive && ac[len(ac)-1] == nil {
					return errBroken
				}
			}
		}
	}
	if len(in) != n || n == 0 {
		return errBroken
	}
	r := &bits{raw: b.raw, at: b.at}
	err := b.units(r, in, dc, ac, shift)
	b.at = min(r.at, len(b.raw))
	return err
}

// units reads the blocks of a scan, unit by unit; of one component alone, those
// that have pixels.
func (b *blocks) units(r *bits, in []*component, dc, ac []*codes, shift uint) error {
	across, down := up(b.width, 8*b.most[0]), up(b.height, 8*b.most[1])
	alone := len(in) == 1
	if alone {
		across, down = in[0].real[0], in[0].real[1]
	}
	var before [4]int
	left := b.restart
	for y := range down {
		for x := range across {
			if b.restart > 0 && left == 0 {
				if !r.again() {
					return nil // the rest is not there; what is there is compared
				}
				before, left = [4]int{}, b.restart
			}
			left--
			for i, c := range in {
				h, v := c.h, c.v
				if alone {
					h, v = 1, 1
				}
				for at := range h * v {
					diff, ok := r.mean(dc[i])
					if !ok || r.over() {
						return nil
					}
					before[i] += diff
					c.dc[(y*v+at/h)*c.across+x*h+at%h] = int16(before[i] << shift)
					if !b.progressive && !r.rest(ac[i]) {
						return nil
					}
				}
			}
		}
	}
	return nil
}

// again goes to behind the next restart marker.
func (r *bits) again() bool {
	for r.at+1 < len(r.raw) {
		if r.raw[r.at] == 0xff && r.raw[r.at+1] >= mRST0 && r.raw[r.at+1] <= mRST7 {
			r.at += 2
			r.held, r.n, r.beyond = 0, 0, 0
			return true
		}
		if r.raw[r.at] == 0xff && r.raw[r.at+1] != 0 && r.raw[r.at+1] != 0xff {
			return false
		}
		r.at++
	}
	return false
}
