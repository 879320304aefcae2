package paper

import (
	"fmt"
	"io"
	"slices"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"rsc.io/qr"
)

// Label is a label that is stuck on a thing: a code for the tablet, and what a person
// reads.
type Label struct {
	Holds string   // the text of the code
	Head  string   // what is read from afar
	Lines []string // below it
}

// Stock is what labels are printed on, in mm.
type Stock struct {
	Name         string
	wide, tall   float64 // of a page
	across, down int     // labels on a page
}

// Sheet is a sheet of A4 that is cut, or comes cut, into labels of 70 by 37 mm.
func Sheet() Stock { return Stock{"A4 sheet, 24 labels", pageWidth, pageHeight, 3, 8} }

// Roll is a roll of 62 mm, of which each label is a page.
func Roll() Stock { return Stock{"62 mm roll", 62, 30, 1, 1} }

// Each is how many labels are on a page.
func (s Stock) Each() int { return s.across * s.down }

// Labels writes labels for print. The first skip places of a sheet stay free: they
// were used before.
func Labels(w io.Writer, labels []Label, on Stock, skip int) error {
	p := &print{pdf: fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: fpdf.SizeType{Wd: min(on.wide, on.tall), Ht: max(on.wide, on.tall)}}), faces: make(map[Face]*typeface), size: usual}
	if err := p.letters(); err != nil {
		return fmt.Errorf("write labels: %w", err)
	}
	p.dated(time.Unix(0, 0)) // a label does not say when it was printed
	way := "P"
	if on.wide > on.tall {
		way = "L"
	}
	for i, l := range labels {
		at := i + skip
		if i == 0 || at%on.Each() == 0 {
			p.pdf.AddPageFormat(way, fpdf.SizeType{Wd: min(on.wide, on.tall), Ht: max(on.wide, on.tall)})
		}
		at %= on.Each()
		wide, tall := on.wide/float64(on.across), on.tall/float64(on.down)
		if err := p.sticker(l, float64(at%on.across)*wide, float64(at/on.across)*tall, wide, tall); err != nil {
			return fmt.Errorf("write the label of %s: %w", l.Head, err)
		}
	}
	if err := p.pdf.Output(w); err != nil {
		return fmt.Errorf("write labels: %w", err)
	}
	return nil
}

// sticker draws one into its place, with a border that no printer cuts off.
func (p *print) sticker(l Label, x, y, wide, tall float64) error {
	const border = 3.0
	side := min(tall-2*border, wide*0.42)
	code, err := qr.Encode(l.Holds, qr.Q)
	if err != nil {
		return fmt.Errorf("draw the code: %w", err)
	}
	p.dots(code, x+border, y+(tall-side)/2, side)
	x, wide = x+border+side+1, wide-2*border-side-1
	// What does not fit is set smaller, down to what is still read at the bench.
	for size := 15.0; ; size-- {
		below := max(size*0.72, least)
		lines := p.wrap(Text{{l.Head, Bold}}, size, wide)
		var more [][]piece
		for _, text := range l.Lines {
			more = append(more, p.wrap(Text{{text, Plain}}, below, wide)...)
		}
		high := float64(len(lines))*p.lead(size) + float64(len(more))*p.lead(below)
		if high > tall-2*border && size > 9 {
			continue
		}
		at := y + max(border, (tall-high)/2)
		for i, line := range slices.Concat(lines, more) {
			now := below
			if i < len(lines) {
				now = size
			}
			if at+p.lead(now) > y+tall-border/2 {
				break
			}
			p.line(line, x, at+now*point, now)
			at += p.lead(now)
		}
		return nil
	}
}
