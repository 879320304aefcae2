package outline

import (
	"fmt"
	"html/template"
	"strings"

	"fettlebook/journal"
)

// Spot is one of several places on a drawing, with what stands beside it. Spots of
// different layers have rings of different strokes, as a coat has beside another.
type Spot struct {
	Place
	Label string
	Layer int
}

// Spots returns a drawing with several places on it. What it shows is told to who
// cannot see it.
func Spots(o journal.Outline, shows string, spots []Spot) template.HTML {
	var all strings.Builder
	var taken []box
	for _, s := range spots {
		x, y := s.Left/100*Width, s.Top/100*Height
		fmt.Fprintf(&all, `<circle cx="%.1f" cy="%.1f" r="9" fill="none" stroke="#a3281f" stroke-width="3"%s/>`, x, y, stroke(s.Layer))
		taken = append(taken, box{x - 11, y - 11, 22, 22})
	}
	for _, s := range spots {
		b := beside(s, taken)
		taken = append(taken, b)
		fmt.Fprintf(&all, `<text x="%.1f" y="%.1f" font-family="sans-serif" font-size="17" font-weight="700" fill="#a3281f" stroke="#f4efe2" stroke-width="4" stroke-linejoin="round" paint-order="stroke">%s</text>`, b.x, b.y+letterHigh-3, template.HTMLEscapeString(s.Label))
	}
	return template.HTML(fmt.Sprintf(`<svg viewBox="0 0 %d %d" role="img" aria-label="%s">%s%s</svg>`, Width, Height, template.HTMLEscapeString(shows), lines(o), &all))
}

// stroke is how the ring of a layer is drawn; the fourth is like the first.
func stroke(layer int) string {
	return []string{"", ` stroke-dasharray="7 4"`, ` stroke-dasharray="2 3"`}[max(layer, 0)%3]
}

// The measures of a label.
const (
	letterWide = 11
	letterHigh = 17
)

type box struct{ x, y, width, height float64 }

func (b box) meets(o box) bool {
	return b.x < o.x+o.width && o.x < b.x+b.width && b.y < o.y+o.height && o.y < b.y+b.height
}

// beside finds room for the label of a spot: at its right, its left, above or
// below, farther away where there is none.
func beside(s Spot, taken []box) box {
	x, y := s.Left/100*Width, s.Top/100*Height
	wide := float64(len([]rune(s.Label)) * letterWide)
	var first box
	for far := 13.0; far < Height; far += letterHigh {
		for i, at := range [][2]float64{{x + far, y - letterHigh/2}, {x - far - wide, y - letterHigh/2}, {x - wide/2, y - far - letterHigh}, {x - wide/2, y + far}} {
			b := box{min(max(at[0], 0), Width-wide), min(max(at[1], 0), Height-letterHigh), wide, letterHigh}
			if i == 0 && far == 13 {
				first = b
			}
			free := true
			for _, o := range taken {
				free = free && !b.meets(o)
			}
			if free {
				return b
			}
		}
	}
	return first
}
