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
//	d.Picture    // the same as shapes, for what is not a page
//	d.Narrow     // laid out for a telephone
//	d.Head, d.Rows
package chart

import (
	"html/template"
	"math"
	"unicode/utf8"
)

// Drawing is a chart with its figures. SVG is empty when there is nothing to
// draw.
type Drawing struct {
	SVG     template.HTML
	Picture Picture    // what SVG draws
	Narrow  Picture    // the same for a narrow page
	Head    []string   // of the table
	Rows    [][]string // as long as Head
}

// Sizes in the picture's own units. On a page of the bench one is about a
// pixel, so that letters are as large as the text around.
const (
	letter    = 18.0          // font size
	advance   = letter * 0.56 // of a letter, on the safe side for a serif face
	figure    = letter * 0.62 // of a figure, which all are as wide as each other
	lineSpace = letter * 1.2  // between two labels
	longest   = 24            // letters of a label; the table has it in full
)

// short cuts a label that is too long for the picture.
func short(label string) string { return cut(label, longest) }

// wide is about how wide the widest of the labels gets.
func wide(labels []string) float64 {
	most := 0
	for _, l := range labels {
		most = max(most, utf8.RuneCountInString(l))
	}
	return float64(most) * advance
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
