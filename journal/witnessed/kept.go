package witnessed

// Kept is a state of the hub's log, and what others said of it.
type Kept struct {
	Size      int64
	Note      []byte   // signed, countersigned, with the witnesses' lines
	Witnesses []string // keys of those witnesses, in verifier form
	Stamp     []byte   // an authority's answer over Note; nil if there is none
}

// Said reports whether anybody said anything of the state.
func (k Kept) Said() bool { return k.Stamp != nil || len(k.Witnesses) > 0 }
