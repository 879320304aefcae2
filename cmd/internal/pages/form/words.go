package form

// The fields that many forms share.

func quantity(name, label string, step float64, units ...string) Field {
	return Field{Name: name, Label: label, Control: Quantity, Units: units, Step: step}
}

func celsius(name, label string) Field {
	f := quantity(name, label, 5, "°C", "°F")
	f.Least = -40
	return f
}

func minutes(name, label string) Field { return quantity(name, label, 5, "min", "h", "s") }

func torqueOf(name, label string) Field { return quantity(name, label, 1, "N·m", "lb·ft", "lb·in") }

func film(name, label string) Field { return quantity(name, label, 1, "µm", "mil") }

// share is how much of a whole.
func share(name, label string) Field { return quantity(name, label, 1, "%").most(100) }

func count(name, label string) Field {
	return Field{Name: name, Label: label, Control: Count, Step: 1}
}

func choice(name, label string, words []string) Field {
	return Field{Name: name, Label: label, Control: Choice, Words: words}
}

func text(name, label string, usual ...string) Field {
	return Field{Name: name, Label: label, Control: Text, Usual: usual}
}

func long(name, label string, usual ...string) Field {
	return Field{Name: name, Label: label, Control: Long, Usual: usual}
}

func list(name, label string, usual ...string) Field {
	return Field{Name: name, Label: label, Control: List, Usual: usual, Cells: []Field{{Label: label, Control: Text}}}
}

func pick(name, label, of string) Field {
	return Field{Name: name, Label: label, Control: Pick, Of: of}
}

func refer(name, label string) Field {
	return Field{Name: name, Label: label, Control: Refer, Required: true, None: "The entry that this answers is not here yet."}
}

func yesno(name, label, yes, no string) Field {
	return Field{Name: name, Label: label, Control: YesNo, Yes: yes, No: no, Required: true}
}

func tick(name, label, yes string) Field {
	return Field{Name: name, Label: label, Control: Tick, Yes: yes}
}

func date(name, label string) Field { return Field{Name: name, Label: label, Control: Date} }

func keep(name string) Field { return Field{Name: name, Label: name, Control: Keep} }

// items is a list of counted small things.
func items(name, label string, usual ...string) Field {
	what := text("what", "What")
	what.Required, what.Usual = true, usual
	n := count("count", "How many")
	n.Required, n.Least = true, 1
	return Field{Name: name, Label: label, Control: Rows, Usual: usual, Cells: []Field{what, n}}
}

func (f Field) none(text string) Field { f.None = text; return f }

// optional lets a field be left empty.
func optional(f Field) Field { f.Required = false; return f }

func (f Field) must() Field            { f.Required = true; return f }
func (f Field) more() Field            { f.More = true; return f }
func (f Field) again() Field           { f.Reused = true; return f }
func (f Field) help(text string) Field { f.Help = text; return f }
func (f Field) least(n float64) Field  { f.Least = n; return f }
func (f Field) most(n float64) Field   { f.Most = n; return f }
func (f Field) by(step float64) Field  { f.Step = step; return f }
