package write

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages/form"
	"fettlebook/journal"
	"fettlebook/journal/record"
)

// offered is the most earlier entries that a field offers to refer to.
const offered = 40

// known is what the shop's register and the job offer for the fields of a form.
func (w *Writer) known(t *task, v form.Values) form.Known {
	shop, today := t.snap.Shop, w.Now()
	k := form.Known{Pick: make(map[string][]form.Option), Entries: make(map[string][]form.Option)}
	for _, tool := range shop.Tools {
		if tool.Stated == nil {
			continue
		}
		o := toolOption(tool, today)
		for _, of := range toolNames(tool.Stated.What) {
			k.Pick[of] = append(k.Pick[of], o)
		}
	}
	for _, lot := range shop.Lots {
		if lot.Stated != nil {
			k.Pick["lot"] = append(k.Pick["lot"], form.Option{Value: string(lot.ID), Say: string(lot.ID) + " · " + lot.Stated.Colour, Note: useBy(lot.Stated.UseBy, today)})
		}
	}
	for _, fluid := range shop.Fluids {
		if fluid.Stated != nil {
			k.Pick["fluid"] = append(k.Pick["fluid"], form.Option{Value: string(fluid.ID), Say: string(fluid.ID) + " · " + string(fluid.Stated.Grade), Note: useBy(fluid.Stated.UseBy, today)})
		}
	}
	k.Pick["spec"] = specOptions(shop, strings.Join(v["joint"], ""))
	for _, p := range shop.People {
		if p.Stated == nil || p.Retired {
			continue
		}
		o := form.Option{Value: string(p.ID), Say: p.Stated.Initials, Note: string(p.ID)}
		k.Pick["person"] = append(k.Pick["person"], o)
		if p.ID != t.by {
			k.Pick["second person"] = append(k.Pick["second person"], o)
		}
	}
	k.Pick["run"] = runOptions(t)
	k.Pick["hold"] = holdOptions(t)
	k.Pick["part"] = partOptions(t, v)
	w.entries(t, &k, strings.Join(v["of"], ""))
	return k
}

// toolNames are the words under which fields ask for a tool of a kind.
func toolNames(what journal.ToolKind) []string {
	names := []string{"tool", string(what)}
	switch what {
	case "torque wrench", "torque screwdriver":
		names = append(names, "torque tool")
	case "thermocouple", "infrared thermometer":
		names = append(names, "thermometer")
	}
	return names
}

func toolOption(tool *record.Tool, today time.Time) form.Option {
	o := form.Option{Value: string(tool.ID), Say: string(tool.ID)}
	if s := tool.Stated; !s.Low.IsZero() && !s.High.IsZero() {
		o.Say += " · " + s.Low.String() + " to " + s.High.String()
	}
	for _, l := range slices.Backward(tool.Lines) {
		check, ok := l.Effect().(*journal.ToolCheck)
		if !ok {
			continue
		}
		switch {
		case check.Result == "out of tolerance" || check.Result == "broken":
			o.Note = string(check.Result) + " at its last check"
		case past(check.Due, today):
			o.Note = "calibration past its date, " + string(check.Due)
		case check.Due != "":
			o.Note = "calibration due " + string(check.Due)
		}
		return o
	}
	if tool.Stated.What == "torque wrench" || tool.Stated.What == "film gauge" {
		o.Note = "no calibration on the register"
	}
	return o
}

// past reports whether a day lies before today.
func past(day journal.Date, today time.Time) bool {
	return day != "" && string(day) < today.Format(time.DateOnly)
}

func useBy(day journal.Date, today time.Time) string {
	switch {
	case past(day, today):
		return "past its date, " + string(day)
	case day != "":
		return "use by " + string(day)
	default:
		return ""
	}
}

// specOptions lists the recorded figures, those of the typed joint first.
func specOptions(shop *record.Shop, joint string) []form.Option {
	fits := func(s *record.Spec) int {
		if joint != "" && strings.EqualFold(strings.TrimSuffix(s.Stated.Joint, "s"), strings.TrimSuffix(joint, "s")) {
			return 0
		}
		return 1
	}
	specs := slices.DeleteFunc(slices.Clone(shop.Specs), func(s *record.Spec) bool { return s.Stated == nil })
	slices.SortStableFunc(specs, func(a, b *record.Spec) int { return cmp.Compare(fits(a), fits(b)) })
	var list []form.Option
	for _, s := range specs {
		o := form.Option{Value: string(s.ID), Say: s.Stated.Joint + " · " + s.Stated.Nominal.String(), Note: string(s.Stated.From)}
		if s.Stated.Page != "" {
			o.Note += ", " + s.Stated.Page
		}
		list = append(list, o)
	}
	return list
}
