package pages

import (
	"regexp"
	"unicode"
	"unicode/utf8"
)

// Bit is a stretch of a sentence. Figures are set in another face.
type Bit struct {
	Text   string
	Figure bool
}

// figure is a number with its unit, at the beginning of a word. Only letters of ASCII
// end at a \b.
var figure = regexp.MustCompile(`(?:^|[\s(])([-+±]?\d+(?:[.,:/-]\d+)*(?: (?:(?:°C|°F|µm|mil|mm|(?:da)?N[.·]m|kgf[.·]m|lbf?[.·]ft|lbf?[.·]in|min|kg|km|mi|mL|L|US fl oz|K|bar|psi|kPa|kV|V|lb|[kM]?ohm|s|h)\b|%|[kM]?Ω))?)`)

// Bits cuts a sentence into words and figures.
func Bits(text string) []Bit {
	var bits []Bit
	from := 0
	for _, at := range figure.FindAllStringSubmatchIndex(text, -1) {
		if next, _ := utf8.DecodeRuneInString(text[at[3]:]); unicode.IsLetter(next) || unicode.IsDigit(next) {
			continue // the number is the beginning of a name
		}
		if at[2] > from {
			bits = append(bits, Bit{Text: text[from:at[2]]})
		}
		bits = append(bits, Bit{Text: text[at[2]:at[3]], Figure: true})
		from = at[3]
	}
	if from < len(text) {
		bits = append(bits, Bit{Text: text[from:]})
	}
	return bits
}
