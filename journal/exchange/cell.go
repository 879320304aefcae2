package exchange

import (
	"strings"
	"unicode"

	"fettlebook/journal/trade/unit"
)

// cell writes a text so that no spreadsheet takes it for a formula. A figure
// with its sign is none.
func cell(text string) string {
	bare := strings.TrimLeftFunc(text, func(r rune) bool { return unicode.IsSpace(r) || unicode.IsControl(r) || r == '\ufeff' })
	if bare == "" {
		return text
	}
	if _, err := unit.Number(text); err == nil {
		return text
	}
	switch []rune(bare)[0] {
	case '=', '+', '-', '@', '＝', '＋', '－', '＠', '|', '%':
		return "'" + text
	}
	return text
}

// spelled writes a unit in its usual spelling, whichever was typed, so that
// what was typed as N.m and as N·m stands in one column.
func spelled(typed string) string {
	for _, usual := range usual() {
		if usual == typed || unit.Alike(usual, typed) {
			return usual
		}
	}
	return typed
}

// usual lists the usual spellings of the units that are typed in several ways.
func usual() []string {
	return []string{
		unit.NewtonMetre.String(), unit.PoundForceFoot.String(), unit.PoundForceInch.String(), unit.DecanewtonMetre.String(), unit.KilogramForceMetre.String(),
		unit.Celsius.String(), unit.Fahrenheit.String(), unit.Kelvin.String(),
		unit.Micrometre.String(), unit.Mil.String(), unit.Millimetre.String(), unit.Inch.String(), unit.Kilometre.String(), unit.Mile.String(),
		unit.Millilitre.String(), unit.Litre.String(), unit.USFluidOunce.String(), unit.USGallon.String(),
		unit.Kilopascal.String(), unit.PSI.String(), unit.Bar.String(), unit.Megapascal.String(),
		unit.Kilogram.String(), unit.Gram.String(), unit.Pound.String(),
		unit.Ohm.String(), unit.Kilohm.String(), unit.Megohm.String(), unit.Percent.String(),
		unit.Minute.String(), unit.Second.String(), unit.Hour.String(),
	}
}
