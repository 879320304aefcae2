package write

import (
	"strings"

	"fettlebook/cmd/internal/pages/form"
	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
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
		o := toolOption(t.snap.Stock().ToolNow(tool.ID, today), shop.Units)
		for _, of := range toolNames(tool.Stated.What) {
			k.Pick[of] = append(k.Pick[of], o)
		}
	}
	for _, lot := range shop.Lots {
		if lot.Stated != nil {
			k.Pick["lot"] = append(k.Pick["lot"], form.Option{Value: string(lot.ID), Say: string(lot.ID) + " · " + lot.Stated.Colour, Note: useBy(t.snap.Stock().LotAt(lot.ID, today).Due, shop.Writing())})
		}
	}
	for _, fluid := range shop.Fluids {
		if fluid.Stated != nil {
			k.Pick["fluid"] = append(k.Pick["fluid"], form.Option{Value: string(fluid.ID), Say: string(fluid.ID) + " · " + string(fluid.Stated.Grade), Note: useBy(t.snap.Stock().FluidAt(fluid.ID, today).Due, shop.Writing())})
		}
	}
	for _, kit := range shop.Kits {
		if is, due := t.snap.Stock().KitAt(kit.ID, today); is != nil {
			k.Pick["kit"] = append(k.Pick["kit"], form.Option{Value: string(kit.ID), Say: string(kit.ID) + " · " + inKit(is), Note: useBy(due, shop.Writing())})
		}
	}
	k.Pick["spec"] = figures(t, strings.Join(v["joint"], ""))
	for _, p := range shop.Staff() {
		o := form.Option{Value: string(p.ID), Say: p.Stated.Initials, Note: string(p.ID)}
		k.Pick["person"] = append(k.Pick["person"], o)
		if p.ID != t.by {
			k.Pick["second person"] = append(k.Pick["second person"], o)
		}
	}
	k.Pick["run"] = runOptions(t)
	k.Pick["hold"] = holdOptions(t)
	k.Pick["part"] = partOptions(t, v)
	if t.kind == journal.CastingMatched {
		k.Pick["other life"] = lifeOptions(t)
	}
	w.entries(t, &k, v)
	return k
}

// inKit names what is in a kit.
func inKit(k *journal.Kit) string {
	var list []string
	for _, i := range k.Contents {
		list = append(list, i.What)
	}
	return words.Commas(list...)
}

// toolNames are the words under which fields ask for a tool of a kind.
func toolNames(what journal.ToolKind) []string {
	names := []string{"tool", string(what)}
	switch what {
	case journal.TorqueWrench, journal.TorqueScrewdriver:
		names = append(names, "torque tool")
	case journal.Thermocouple, journal.InfraredThermometer:
		names = append(names, "thermometer")
	}
	return names
}

func toolOption(t facts.ToolState, units unit.System) form.Option {
	o := form.Option{Value: string(t.ID), Say: string(t.ID)}
	if s := t.Stated; !s.Low.IsZero() && !s.High.IsZero() {
		spelled := units.SpelledTorque(s.High)
		o.Say += " · " + spelled(s.Low) + " to " + spelled(s.High)
	}
	what := t.Stated.What
	switch {
	case t.Doubt == facts.NeverChecked && (what == journal.TorqueWrench || what == journal.FilmGauge):
		o.Note = "no calibration on the register"
	case t.Doubt == facts.NeverChecked:
	case t.Doubt == facts.FoundBad:
		o.Note = string(t.Result) + " at its last check"
	case t.Due.Past():
		o.Note = "calibration past its date, " + units.Writing.Day(t.Due.On)
	case t.Spent():
		o.Note = spent(t)
	case t.Doubt != facts.NoDoubt:
		o.Note = t.Say()
	case !t.Due.IsZero():
		o.Note = "calibration due " + units.Writing.Day(t.Due.On)
	}
	if t.Spent() && t.Due.Past() {
		o.Note += "; " + spent(t)
	}
	return o
}

// spent says that a tool was used as often as its check holds for.
func spent(t facts.ToolState) string {
	return words.Of(t.Uses, t.Validity.UsesDue, "use") + " since its check"
}

func useBy(d facts.Due, w words.Writing) string {
	switch {
	case d.IsZero():
		return ""
	case d.Past():
		return "past its date, " + w.Day(d.On)
	default:
		return "use by " + w.Day(d.On)
	}
}
