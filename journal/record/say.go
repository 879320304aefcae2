package record

import (
	"fmt"
	"strconv"
	"strings"

	"fettlebook/journal"

	"github.com/go-json-experiment/json/jsontext"
)

// Say states a payload in one short sentence, figures as typed. Photos and
// the remark are not in it.
func Say(p journal.Payload) string {
	for _, say := range []func(journal.Payload) string{sayRegister, sayJob, sayCoat, sayBake, sayBrake, sayHandover, sayAfter} {
		if sentence := say(p); sentence != "" {
			return sentence
		}
	}
	return p.Kind().About()
}

// Says states what was written, struck or not, with its remark. A newer kind
// and what cannot be read show their data.
func (l *Line) Says() string {
	switch {
	case l.Payload != nil:
		return remarked(l.Payload, l.Data)
	case l.Kind != "":
		return fmt.Sprintf("%s/%d %s", l.Kind, l.Version, shortened(string(l.Data)))
	default:
		return fmt.Sprintf("%d bytes that are no entry: %s", len(l.Raw), shortened(string(l.Raw)))
	}
}

// Now states what stands instead of a struck line, or "" if nothing does.
func (l *Line) Now() string {
	if l.Struck == nil || l.Struck.now == nil {
		return ""
	}
	return remarked(l.Struck.now, l.Struck.Replacement)
}

func remarked(p journal.Payload, data jsontext.Value) string {
	said, note := Say(p), noteOf(data)
	if note == "" || p.Kind() == journal.NoteMade {
		return said
	}
	return said + " — " + note
}

// shown is how much of raw data a line of text shows; the JSON has it whole.
const shown = 300

func shortened(text string) string {
	runes := []rune(text)
	if len(runes) <= shown {
		return text
	}
	return string(runes[:shown]) + "…"
}

// given puts a value into a phrase, or returns "" if there is none.
func given[T fmt.Stringer](phrase string, value T) string { return text(phrase, value.String()) }

// text is given for values that are texts.
func text[T ~string](phrase string, value T) string {
	if value == "" {
		return ""
	}
	return fmt.Sprintf(phrase, string(value))
}

// yes returns the phrase if a thing is so.
func yes(so bool, phrase string) string {
	if so {
		return phrase
	}
	return ""
}

// items writes counted small things: "2 pin bores" is kept as "pin bores ×2".
func items(list []journal.Item) string {
	var words []string
	for _, i := range list {
		word := i.What
		if i.Count != 1 {
			word += " ×" + strconv.Itoa(i.Count)
		}
		words = append(words, word)
	}
	return strings.Join(words, ", ")
}

// span writes the figures between two values, of which either may be missing.
func span[T fmt.Stringer](low, high T) string {
	switch lo, hi := low.String(), high.String(); {
	case lo == "":
		return text("at most %s", hi)
	case hi == "":
		return "at least " + lo
	default:
		return lo + " to " + hi
	}
}
