package chart

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

// sheet is what a picture is laid out for. On a roomy one names stand beside what they
// name; on a narrow one, such as a phone's, they stand above it, or below the picture
// under letters, so that all of it is seen at once.
type sheet int

const (
	roomy sheet = iota
	narrow
)

// drawable is what is laid out on a sheet.
type drawable interface{ on(sheet) Picture }

// of lays the picture of a table out for roomy pages and for narrow ones.
func (d Drawing) of(what drawable) Drawing {
	d.Picture, d.Narrow = what.on(roomy), what.on(narrow)
	d.SVG = d.Picture.SVG()
	return d
}

// width is that of the sheet.
func (s sheet) width() float64 {
	if s == narrow {
		return 330
	}
	return 720
}

// foot is the room below a plot, for ticks and their unit.
func (s sheet) foot() float64 {
	if s == narrow {
		return 52 + lineSpace
	}
	return 52
}

// steps is how many steps of an axis have room, of so many on a roomy sheet.
func (s sheet) steps(most int) int {
	if s == narrow {
		return min(most, 4)
	}
	return most
}

// letters is how many letters have room on the sheet from edge to edge.
func (s sheet) letters() int { return int(s.width() / advance) }

// cut leaves of a text what has room for so many letters.
func cut(text string, most int) string {
	if utf8.RuneCountInString(text) <= most {
		return text
	}
	return strings.TrimRight(string([]rune(text)[:max(0, most-1)]), " .,:;") + "…"
}

// beside is what of a name has room beside a picture: on a narrow sheet its letter stands
// there, and the name below has all lines that it needs.
func (s sheet) beside(name string) string {
	if s == narrow {
		return name
	}
	return short(name)
}

// key is the letter under which a narrow picture lists the i-th of its names.
func key(i int) string {
	const letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
	if i < len(letters) {
		return letters[i : i+1]
	}
	return strconv.Itoa(i + 1)
}

// broken breaks a text into lines of at most so many letters.
func broken(text string, most int) (lines []string) {
	line := ""
	for word := range strings.FieldsSeq(text) {
		word = cut(word, most)
		switch {
		case line == "":
			line = word
		case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) <= most:
			line += " " + word
		default:
			lines, line = append(lines, line), word
		}
	}
	return append(lines, line)
}
