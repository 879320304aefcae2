package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Number reads a number that stands without a unit, by the rules of Parse: digits, at most
// one sign and one decimal point with a digit on both sides of it. Errors are of type
// *Error.
func Number(typed string) (float64, error) { return bare(typed, false) }

// Grouped does what Number does, and takes what stands between thousands, as in "63 120",
// where it can be nothing else. Errors are of type *Error.
func Grouped(typed string) (float64, error) { return bare(typed, true) }

func bare(typed string, grouped bool) (float64, error) {
	text := strings.TrimSpace(typed)
	number, rest := Split(text)
	value, problem := readNumber(number, rest, grouped)
	switch {
	case utf8.RuneCountInString(text) > maxLength:
		problem = fmt.Sprintf("this is longer than %d characters: write only a number", maxLength)
	case problem == "" && (number == "" || rest != ""):
		problem = "this is not a number: write digits and at most one decimal point"
	}
	if problem != "" {
		return 0, &Error{Text: text, Want: "a number", Problem: problem}
	}
	return value, nil
}

// spaces are what people and programs put between thousands, and before a unit: the
// common one, and those that do not break a line.
const spaces = " \u00a0\u2009\u202f"

// figures are the characters of a number behind its sign, right or wrong.
const figures = "0123456789.,"

// Split cuts a text where its number ends: the number, and the spelling of its unit.
// Everything that looks like part of a number goes to the number, so that a wrong one can
// be quoted whole, and so do groups of three digits behind a space, as in "63 120 km".
// Neither is checked, and space around them is left out.
func Split(text string) (number, spelling string) {
	text = strings.TrimSpace(text)
	unsigned := strings.TrimLeft(text, "+-−")
	end := len(text) - len(strings.TrimLeft(unsigned, figures))
	first := text[len(text)-len(unsigned) : end]
	if _, err := strconv.ParseUint(first, 10, 16); err == nil && len(first) <= 3 && first[0] != '0' {
		for n := thousand(text[end:]); n > 0; n = thousand(text[end:]) {
			end += n
		}
		end = len(text) - len(strings.TrimLeft(text[end:], figures))
	}
	return text[:end], strings.TrimLeft(text[end:], spaces)
}

// thousand returns the length of a space and just three digits at the beginning of a text,
// or 0 where something else stands there.
func thousand(text string) int {
	r, size := utf8.DecodeRuneInString(text)
	group := text[size:]
	if !strings.ContainsRune(spaces, r) || len(group) < 3 || strings.Trim(group[:3], "0123456789") != "" {
		return 0
	}
	if len(group) > 3 && isDigit(group[3]) {
		return 0
	}
	return size + 3
}

// readNumber returns the value, or a sentence that says what is wrong with the number.
// Grouped allows something between thousands.
func readNumber(number, spelling string, grouped bool) (value float64, problem string) {
	one := number
	if grouped {
		one = ungrouped(number)
	}
	if strings.Contains(one, ",") {
		return 0, explainComma(number)
	}
	if number == "" {
		return 0, ""
	}
	switch {
	case strings.ContainsAny(one, spaces), spelling != "" && isDigit(spelling[0]):
		return 0, "the number is broken by a space: write it in one piece"
	case len(spelling) > 1 && (spelling[0] == 'e' || spelling[0] == 'E') && strings.IndexByte("+-0123456789", spelling[1]) >= 0:
		return 0, "an exponent is not accepted: write the number in full"
	}
	plain := strings.Replace(one, "−", "-", 1)
	digits := strings.TrimLeft(plain, "+-")
	whole, fraction, pointed := strings.Cut(digits, ".")
	switch {
	case len(plain)-len(digits) > 1:
		return 0, fmt.Sprintf("%s has more than one sign: write one or none", number)
	case strings.Contains(fraction, "."):
		return 0, fmt.Sprintf("%s has more than one decimal point: write one or none", number)
	case whole == "" || pointed && fraction == "":
		// A point at the edge is easily overlooked, and then the figure is ten times off.
		return 0, fmt.Sprintf("%s needs a digit on both sides of the decimal point: write for example 0.5", number)
	}
	value, ok := Decimal(plain)
	if !ok {
		return 0, fmt.Sprintf("%s is not a number: write digits and at most one decimal point", number)
	}
	return value, ""
}

// explainComma refuses a comma and names what was probably meant. It never guesses
// between a decimal comma and thousands, since the two differ a thousandfold.
func explainComma(number string) string {
	at := strings.LastIndex(number, ",")
	before, fraction := number[:at], number[at+1:]
	whole := thousands(before, spaces)
	if strings.Contains(before, ".") {
		whole = thousands(before, ".")
	}
	switch {
	case whole == "" || fraction == "" || strings.Trim(fraction, "0123456789") != "":
		return fmt.Sprintf("%s holds a comma: write the number with digits and at most one decimal point", number)
	case len(fraction) == 3 && !strings.Contains(before, "."):
		return fmt.Sprintf("%s can be read in two ways: write %s or %s.%s, without a comma", number, whole+fraction, whole, fraction)
	default:
		return fmt.Sprintf("write %s.%s, not %s", whole, fraction, number)
	}
}

func isDigit(b byte) bool { return '0' <= b && b <= '9' }

// exactTens are the powers of ten that a float64 holds exactly and that are needed here.
var exactTens = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}

// Decimal reads a number as instruments write it: a decimal point or a decimal comma,
// perhaps an exponent, nothing around it. What people type is for Number and Parse. Up to
// fifteen digits it is exact to the last bit and needs no memory; what is longer or has
// an exponent goes to strconv.
func Decimal[Text string | []byte](text Text) (float64, bool) {
	i, negative := 0, false
	if i < len(text) && (text[i] == '-' || text[i] == '+') {
		negative = text[i] == '-'
		i++
	}
	var mantissa uint64
	digits, decimals, pointed := 0, 0, false
	for ; i < len(text); i++ {
		switch c := text[i]; {
		case '0' <= c && c <= '9':
			mantissa = mantissa*10 + uint64(c-'0')
			digits++
			if pointed {
				decimals++
			}
		case (c == '.' || c == ',') && !pointed:
			pointed = true
		default:
			return parseLong(string(text))
		}
		if digits > 15 {
			return parseLong(string(text))
		}
	}
	if digits == 0 {
		return 0, false
	}
	value := float64(mantissa) / exactTens[decimals]
	if negative {
		value = -value
	}
	return value, true
}

// parseLong refuses what strconv takes beyond decimals: words, hexadecimal and underscores.
func parseLong(text string) (float64, bool) {
	if len(text) > 64 || strings.Trim(text, "0123456789+-.,eE") != "" {
		return 0, false
	}
	value, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	return value, err == nil && !math.IsInf(value, 0)
}
