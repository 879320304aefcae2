package paper

import (
	"bytes"
	"embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"

	"fettlebook/cmd/internal/pages"
)

//go:embed html/paper.html html/paper.css
var htmlFiles embed.FS

// Screen is what stands on a page beside the paper while somebody looks at it
// in the shop. It is never printed. The zero Screen is the customer's own file.
type Screen struct{ Links []Link }

// Link leads somewhere.
type Link struct{ Say, Path string }

// page is what the template is given.
type page struct {
	*Document
	Screen
	Language string
	Style    template.CSS
}

// HTML writes the paper as one page that needs nothing beside it: pictures are in
// it, and no script is.
func (d *Document) HTML(w io.Writer, s Screen) error {
	style, err := htmlFiles.ReadFile("html/paper.css")
	if err != nil {
		return fmt.Errorf("read the style of papers: %w", err)
	}
	t, err := template.New("paper.html").Funcs(template.FuncMap{
		"kind": kind, "data": dataURI, "qr": pages.DrawQR, "cells": cells, "columns": columns,
	}).ParseFS(htmlFiles, "html/paper.html")
	if err != nil {
		return fmt.Errorf("read the template of papers: %w", err)
	}
	var whole bytes.Buffer
	if err := t.Execute(&whole, page{d, s, language, template.CSS(style)}); err != nil {
		return fmt.Errorf("write %s as HTML: %w", d.Title, err)
	}
	if _, err := w.Write(pages.Seen(whole.Bytes())); err != nil {
		return fmt.Errorf("write %s as HTML: %w", d.Title, err)
	}
	return nil
}

// kind names the template of a block.
func kind(b Block) string {
	switch b.(type) {
	case Head:
		return "head"
	case Heading:
		return "heading"
	case Fine:
		return "fine"
	case Caution:
		return "caution"
	case List:
		return "list"
	case Pairs:
		return "pairs"
	case Boxes:
		return "boxes"
	case Table:
		return "table"
	case Pictures:
		return "pictures"
	case Chart:
		return "chart"
	case Code:
		return "code"
	case Together:
		return "together"
	case NewPage:
		return "newpage"
	}
	return "text"
}

// dataURI is a picture within the page.
func dataURI(jpeg []byte) template.URL {
	return template.URL("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(jpeg))
}

// cell is one cell with the head that it stands under, which stands beside it
// where the page is narrow.
type cell struct {
	Under string
	Text  Text
}

func cells(t Table, row []Text) (list []cell) {
	for i, text := range row {
		if text.plain() == "" {
			text = nil // its head does not stand alone
		}
		list = append(list, cell{t.Head[i], text})
	}
	return list
}

// heading is the head of a column, as wide as its share.
type heading struct {
	Head string
	Wide template.CSS
}

func columns(t Table) (list []heading) {
	sum := 0.0
	for _, share := range t.Shares {
		sum += share
	}
	for i, head := range t.Head {
		list = append(list, heading{head, template.CSS(fmt.Sprintf("%.3g%%", t.Shares[i]/sum*100))})
	}
	return list
}
