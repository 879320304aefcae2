// Package chart draws charts on the server, as SVG that stands in a page.
//
// It promises pictures that need no script and no style of their own: ink on
// card in the colour of the text around them (currentColor), told apart by
// width and dashes and never by colour, with a title for who cannot see them.
// They hold presentation attributes and the class n only. The same figures
// give the same bytes. What a chart shows stands in a table too, which is the
// page's to set: every Drawing has its rows.
//
//	d, err := chart.Bake{Title: "Bake bake-17", Trace: series, Probes: probes, Result: &result}.Draw()
//	d.SVG        // <svg viewBox="0 0 720 …" role="img" class="chart"><title>…
//	d.Head, d.Rows
package chart

import (
	"encoding/xml"
	"html/template"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Drawing is a chart with its figures. SVG is empty when there is nothing to
// draw.
type Drawing struct {
	SVG  template.HTML
	Head []string   // of the table
	Rows [][]string // as long as Head
}

// Sizes in the picture's own units. On a page of the bench one is about a
// pixel, so that letters are as large as the text around.
const (
	width     = 720.0
	letter    = 18.0          // font size
	advance   = letter * 0.56 // of a letter, on the safe side for a serif face
	lineSpace = letter * 1.2  // between two labels
	foot      = 52.0          // below the plot, for ticks and their unit
	longest   = 24            // letters of a label; the table has it in full
)

// canvas writes the elements of one picture.
type canvas struct{ strings.Builder }

func (c *canvas) open(height float64, title string) {
	c.WriteString(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ` + num(width) + ` ` + num(height) +
		`" role="img" class="chart" fill="currentColor" font-size="` + num(letter) + `"><title>` + escaped(title) + `</title>`)
}

func (c *canvas) close() template.HTML {
	c.WriteString(`</svg>`)
	return template.HTML(c.String()) // all text in it went through escaped
}

// line draws a straight stroke; look holds more presentation attributes.
func (c *canvas) line(x1, y1, x2, y2 float64, look string) {
	c.WriteString(`<line x1="` + num(x1) + `" y1="` + num(y1) + `" x2="` + num(x2) + `" y2="` + num(y2) + `" stroke="currentColor" ` + look + `/>`)
}

func (c *canvas) text(x, y float64, anchor, class, text string) {
	c.WriteString(`<text x="` + num(x) + `" y="` + num(y) + `" text-anchor="` + anchor + `"`)
	if class != "" {
		c.WriteString(` class="` + class + `"`)
	}
	c.WriteString(`>` + escaped(text) + `</text>`)
}

// The strokes, by presentation attributes.
const (
	ruled  = `stroke-width="1" stroke-opacity="0.4"`
	axis   = `stroke-width="1.5"`
	leader = `stroke-width="1" stroke-opacity="0.7"`
	limit  = `stroke-width="1.5" stroke-dasharray="10 4"`
)

// num writes a coordinate to a tenth, always the same way.
func num(v float64) string {
	text := strconv.FormatFloat(v, 'f', 1, 64)
	if text = strings.TrimSuffix(text, ".0"); text == "-0" {
		return "0"
	}
	return text
}

func escaped(text string) string {
	var b strings.Builder
	if err := xml.EscapeText(&b, []byte(text)); err != nil {
		return "" // a strings.Builder takes everything
	}
	return b.String()
}

// short cuts a label that is too long for the picture.
func short(label string) string {
	if utf8.RuneCountInString(label) <= longest {
		return label
	}
	return strings.TrimSpace(string([]rune(label)[:longest-1])) + "…"
}

// wide is about how wide the widest of the labels gets.
func wide(labels []string) float64 {
	most := 0
	for _, l := range labels {
		most = max(most, utf8.RuneCountInString(l))
	}
	return float64(most) * advance
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
