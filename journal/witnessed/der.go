package witnessed

import "errors"

// mostNested is how deep a token may nest: certificates reach about fifteen.
const mostNested = 40

var errDER = errors.New("it is not in the form of an answer (DER)")

// der checks that bytes are one DER value whose parts lie inside each other.
// The parser of tokens reads looser forms too, and does that without care for
// the end of what it reads: it is only given what this lets through.
func der(raw []byte) error {
	rest, err := derValue(raw, 0)
	if err == nil && len(rest) > 0 {
		err = errDER
	}
	return err
}

// derValue checks the first value and returns what follows it.
func derValue(raw []byte, depth int) (rest []byte, err error) {
	if len(raw) < 2 || depth > mostNested || raw[0]&0x1f == 0x1f {
		return nil, errDER
	}
	inner, rest, ok := derLength(raw[1:])
	if !ok {
		return nil, errDER
	}
	if raw[0]&0x20 == 0 {
		return rest, nil
	}
	for len(inner) > 0 {
		if inner, err = derValue(inner, depth+1); err != nil {
			return nil, err
		}
	}
	return rest, nil
}

// derLength reads a length, which has one spelling only, and cuts off so much.
func derLength(raw []byte) (inner, rest []byte, ok bool) {
	n, raw := int(raw[0]), raw[1:]
	if n >= 0x80 {
		digits := n & 0x7f
		if digits == 0 || digits > 3 || digits > len(raw) || raw[0] == 0 {
			return nil, nil, false
		}
		n = 0
		for _, b := range raw[:digits] {
			n = n<<8 | int(b)
		}
		if raw = raw[digits:]; n < 0x80 {
			return nil, nil, false
		}
	}
	if n > len(raw) {
		return nil, nil, false
	}
	return raw[:n], raw[n:], true
}
