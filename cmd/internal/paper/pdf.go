package paper

import (
	"cmp"
	"embed"
	"errors"
	"fmt"
	"io"
	"time"

	"codeberg.org/go-pdf/fpdf"
)

//go:embed fonts/*.ttf
var fontFiles embed.FS

// The page, in mm: A4 (ISO 216).
const (
	pageWidth, pageHeight = 210.0, 297.0
	margin                = 14.0
	across                = pageWidth - 2*margin
	footing               = 12.0 // of the page's number
	lowest                = pageHeight - margin - footing/2
)

// point is a typographic point in mm.
const point = 25.4 / 72

// usual is the size of letters in points; least is below which nobody reads.
const usual, least = 10, 7.6

// PDF writes the paper for print. The same paper gives the same bytes.
func (d *Document) PDF(w io.Writer) error {
	for size := cmp.Or(d.Letters, usual); ; size = max(least, size-0.8) {
		p, err := newPrint(d, size)
		if err != nil {
			return fmt.Errorf("write %s as PDF: %w", d.Title, err)
		}
		p.blocks(d.Blocks)
		if d.Most > 0 && p.pdf.PageCount() > d.Most && size > least {
			continue
		}
		if err := p.pdf.Output(w); err != nil {
			return fmt.Errorf("write %s as PDF: %w", d.Title, err)
		}
		return nil
	}
}

// print is a paper in the making. What goes wrong is kept by the library until
// the end.
type print struct {
	pdf   *fpdf.Fpdf
	faces map[Face]*typeface
	size  float64 // of the letters, in points
	y     float64 // where the next thing begins
	shots int     // photographs so far
	pages int     // that were begun after the first
}

func newPrint(d *Document, size float64) (*print, error) {
	p := &print{pdf: fpdf.New("P", "mm", "A4", ""), faces: make(map[Face]*typeface), size: size, y: margin}
	if err := p.letters(); err != nil {
		return nil, err
	}
	p.dated(d.Dated)
	if err := p.describe(d); err != nil {
		return nil, err
	}
	p.pdf.SetMargins(margin, margin, margin)
	p.pdf.AliasNbPages(allPages)
	p.pdf.SetFooterFunc(func() { p.foot(d.Running) })
	p.pdf.AddPage()
	return p, nil
}

// letters reads the fonts.
func (p *print) letters() error {
	for _, f := range []struct {
		face        Face
		name, style string
		file        string
	}{{Plain, serif, "", "DejaVuSerif"}, {Bold, serif, "B", "DejaVuSerif-Bold"}, {Figure, mono, "", "DejaVuSansMono"}} {
		raw, err := fontFiles.ReadFile("fonts/" + f.file + ".ttf")
		if err != nil {
			return fmt.Errorf("read a font: %w", err)
		}
		if p.faces[f.face], err = newTypeface(f.name, f.style, raw); err != nil {
			return err
		}
		p.pdf.AddUTF8FontFromBytes(f.name, f.style, raw)
	}
	p.faces[Struck] = p.faces[Plain]
	if p.pdf.Err() {
		return errors.New("a font cannot be read")
	}
	return nil
}

// dated has the file say when it is of, and nothing else that differs from one making
// to the next.
func (p *print) dated(at time.Time) {
	p.pdf.SetCatalogSort(true) // else the order of objects is that of a map
	p.pdf.SetCreationDate(at.UTC())
	p.pdf.SetModificationDate(at.UTC())
	p.pdf.SetProducer("fettlebook", true)
	p.pdf.SetAutoPageBreak(false, margin)
}

// allPages stands for the number of pages until that is known.
const allPages = "{pages}"

// foot writes the running line and the page's number.
func (p *print) foot(running string) {
	const size = 7.5
	y := pageHeight - footing + 1
	p.pen(0.2)
	p.pdf.Line(margin, y-3.5, pageWidth-margin, y-3.5)
	lines := p.wrap(Text{{Text: running}}, size, across-25)
	if len(lines) > 0 {
		p.line(lines[0], margin, y, size)
	}
	p.set(Plain, size)
	// The width of the alias is not that of the number: it is set from the left.
	p.pdf.Text(pageWidth-margin-22, y, fmt.Sprintf("page %d of %s", p.pdf.PageNo(), allPages))
}

// blocks draws blocks one below the other.
func (p *print) blocks(list []Block) {
	for i, b := range list {
		if h, ok := b.(Heading); ok && i+1 < len(list) { // a heading does not stand alone at the foot
			p.room(p.headingTall(h) + p.beginning(list[i+1:]))
		}
		p.block(b)
	}
}

// beginning is how much of what follows a heading stands under it on its page: some
// lines, or a first row of photographs with what is said above it.
func (p *print) beginning(list []Block) float64 {
	above := 0.0
	for _, b := range list {
		switch b := b.(type) {
		case Text:
			above += p.tall(b, p.size, across) + p.gap()
		case Fine:
			above += p.tall(b.Text, p.size*0.85, across) + p.gap()
		case Pictures:
			return above + p.firstRow(b)
		default:
			return max(above, 6*p.lead(p.size))
		}
	}
	return max(above, 6*p.lead(p.size))
}

func (p *print) block(b Block) {
	switch b := b.(type) {
	case Head:
		p.head(b)
	case Heading:
		p.heading(b)
	case Text:
		p.paragraph(b, p.size, margin, across)
		p.y += p.gap()
	case Fine:
		p.paragraph(b.Text, p.size*0.85, margin, across)
		p.y += p.gap()
	case Caution:
		p.caution(b)
	case List:
		p.list(b)
	case Pairs:
		p.pairs(b)
	case Boxes:
		p.boxes(b)
	case Table:
		p.table(b)
	case Pictures:
		p.pictures(b)
	case Chart:
		p.chart(b)
	case Code:
		p.code(b)
	case Together:
		p.together(b)
	case NewPage:
		p.newPage()
	}
}

// gap is the space between two blocks.
func (p *print) gap() float64 { return p.size * point * 0.6 }

// room begins a new page if so much does not fit on this one.
func (p *print) room(tall float64) {
	if p.y+tall > lowest && p.y > margin {
		p.newPage()
	}
}

func (p *print) newPage() {
	p.pdf.AddPage()
	p.y = margin
	p.pages++
}

// together begins a new page if the blocks would fit on one and do not fit here. How
// tall they are shows a trial, in which nothing is drawn.
func (p *print) together(list Together) {
	trial := &print{pdf: fpdf.New("P", "mm", "A4", ""), faces: p.faces, size: p.size, y: margin}
	trial.pdf.SetError(errTrial)
	trial.blocks(list)
	if trial.pages == 0 {
		p.room(trial.y - margin)
	}
	p.blocks(list)
}

// errTrial keeps the library from drawing.
var errTrial = errors.New("this is only a trial")

// pen sets the width of lines, in mm, whole and in ink.
func (p *print) pen(width float64) {
	p.pdf.SetDrawColor(22, 35, 63)
	p.pdf.SetDashPattern(nil, 0)
	p.pdf.SetLineWidth(width)
}
