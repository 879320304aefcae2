package bake

// Suspicion is from when on a probe proves nothing more. What it had shown until then
// stands.
type Suspicion struct {
	Kind   WarningKind `json:"kind"`
	Second float64     `json:"second"` // of the last reading that counts
	Says   string      `json:"says"`   // what it did, after its name
}

// IsZero reports whether nothing is suspected.
func (s Suspicion) IsZero() bool { return s.Kind == "" }

// envelope bounds what metal can be at, since it changes no faster than it can. With
// every reading it narrows to that reading, and with time it widens.
type envelope struct {
	low, high float64 // °C
}

func (e *envelope) begin(celsius float64, r *Rules) {
	*e = envelope{celsius - r.JumpGrace.Value, celsius + r.JumpGrace.Value}
}

// holds reports whether metal can have come to a temperature since the last reading.
func (e *envelope) holds(celsius, seconds float64, r *Rules) bool {
	e.low -= r.Jump.Value * seconds / 60
	e.high += r.Jump.Value * seconds / 60
	if celsius < e.low || celsius > e.high {
		return false
	}
	e.low, e.high = max(e.low, celsius-r.JumpGrace.Value), min(e.high, celsius+r.JumpGrace.Value)
	return true
}

// suspect says why a reading ends what the channel proves, if it does.
func (a *accumulator) suspect(second, celsius float64) bool {
	c := &a.channel
	switch {
	case !c.Suspect.IsZero():
	case celsius < a.rules.Coldest.Value || celsius > a.rules.Hottest.Value:
		c.Suspect = Suspicion{WarnImpossible, a.second, a.rules.Units.Writing.Sprintf("reads %s at minute %.1f, which no probe in an oven can read", a.rules.temperature(celsius), second/60)}
	case c.Readings == 0:
		a.envelope.begin(celsius, a.rules)
	case !a.envelope.holds(celsius, second-a.second, a.rules):
		c.Suspect = Suspicion{WarnJump, a.second, a.rules.Units.Writing.Sprintf("changes from %s to %s up to minute %.1f, faster than metal can (%s)", a.rules.temperature(a.celsius), a.rules.temperature(celsius), second/60, a.rules.Jump.Say(a.rules.Units))}
	}
	return !c.Suspect.IsZero()
}

// silent notes that a channel ended before the trace did.
func (a *accumulator) silent(end float64) {
	c := &a.channel
	if c.Suspect.IsZero() && c.Readings > 0 && end-c.To > a.maxGap {
		c.Suspect = Suspicion{WarnSilent, c.To, a.rules.Units.Writing.Sprintf("fell silent at minute %.1f, %.1f min before the log ends", c.To/60, (end-c.To)/60)}
	}
}
