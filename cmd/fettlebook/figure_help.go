package main

import (
	"embed"

	"fettlebook/journal/card"
)

// The help of the figures: formula, sources, units, examples, and the names in
// their JSON.
//
//go:embed help/*.txt
var helps embed.FS

// help returns the text of a figure; of all figures for "figure".
func help(name string) string {
	text, err := helps.ReadFile("help/" + name + ".txt")
	if err != nil {
		return ""
	}
	return string(text)
}

// Help says what holds for all figures.
func (*figures) Help() string { return help("figure") + "\n" + card.Sources }

// Help is the reference of the figure.
func (*figureBake) Help() string    { return help("figure_bake") }
func (*figureFilm) Help() string    { return help("figure_film") }
func (*figureTorque) Help() string  { return help("figure_torque") }
func (*figureBolt) Help() string    { return help("figure_bolt") }
func (*figureBleed) Help() string   { return help("figure_bleed") }
func (*figureVIN) Help() string     { return help("figure_vin") }
func (*figureDew) Help() string     { return help("figure_dew") }
func (*figureRate) Help() string    { return help("figure_rate") }
func (*figureCompare) Help() string { return help("figure_compare") }
func (*figureChart) Help() string   { return help("figure_chart") }
