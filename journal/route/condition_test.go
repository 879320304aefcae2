package route_test

import (
	"testing"

	"fettlebook/journal"
)

// How a part was found wants a decision, and a part that was refused is not
// fitted.
func TestConditions(t *testing.T) {
	lf, rf := at("LF", "caliper"), at("RF", "caliper")
	found := func(what journal.ConditionName, decided journal.ConditionDecision, on journal.Subject) step {
		d := journal.Condition{Condition: what, Where: "upper ear", Decision: decided}
		return plain("found", bench1, on, "mk", d)
	}
	with := func(behind string, steps ...step) func(*story) {
		return func(s *story) {
			for _, st := range steps {
				s.after(behind, st)
				behind = st.name
			}
		}
	}
	ruled := func(name, of string, decision journal.ConditionDecision) step {
		return linked(name, bench1, lf, "mk", func(ids map[string]journal.EntryID) journal.Payload {
			return &journal.ConditionRuling{Of: ids[of], Decision: decision, Reason: "looked at twice"}
		})
	}
	judged(t, []work{
		{"a crack that nobody decided about", "sound", lf, with("LF tagged caliper", found(journal.CrackedEar, "", lf)), false, "nobody has decided yet about the cracked ear at upper ear"},
		{"a crack that was refused, and fitted", "sound", lf, with("LF tagged caliper", found(journal.CrackedEar, journal.RefuseRefit, lf)), false, "refuse to refit, and the part is back on"},
		{"decided at once", "defects", lf, with("LF tagged caliper", found(journal.PittedBore, journal.ReplaceIt, lf)), true, "pitted bore at upper ear: replace"},
		{"decided later", "defects", lf, with("LF tagged caliper", found(journal.CrackedEar, "", lf), ruled("ruled", "found", journal.RepairIt)), true, "cracked ear at upper ear: repair"},
		{"nobody has decided", "defects", lf, with("LF tagged caliper", found(journal.StrippedThread, "", lf)), false, "nobody has decided yet about the stripped thread at upper ear"},
		{"another one was decided", "defects", lf, with("LF tagged caliper", found(journal.CrackedEar, "", lf), ruled("ruled", "LF tagged caliper", journal.RepairIt)), false, "nobody has decided"},
		{"the hose of the corner", "defects", lf, with("LF tagged caliper", found(journal.PerishedHose, "", at("LF", ""))), false, "nobody has decided yet about the perished hose"},
		{"of the other side", "defects", lf, with("LF tagged caliper", found(journal.CrackedEar, "", rf)), true, ""},
		{"refused, and fitted all the same", "defects", lf, with("LF tagged caliper", found(journal.CrackedEar, journal.RefuseRefit, lf)), false, "refuse to refit, and the part is back on"},
		{"refused when it was back on already", "defects", lf, with("LF bag empty", found(journal.CrackedEar, journal.RefuseRefit, lf)), false, "refuse to refit, and the part is back on"},
		{"refused at first, and repaired then", "defects", lf, with("LF tagged caliper", found(journal.CrackedEar, journal.RefuseRefit, lf), ruled("ruled", "found", journal.RepairIt)), true, "repair"},
		{"repaired at first, and refused then", "defects", lf, with("LF tagged caliper", found(journal.CrackedEar, journal.RepairIt, lf), ruled("ruled", "found", journal.RefuseRefit)), false, "refuse to refit, and the part is back on"},
	})
}
