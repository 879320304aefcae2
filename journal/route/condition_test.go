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
	fitted := func(on journal.Subject, news ...string) step {
		var d journal.Rebuild
		for _, what := range news {
			d.NewParts = append(d.NewParts, journal.Item{What: what, Count: 1})
		}
		return plain("fitted", bench1, on, "mk", d)
	}
	ruled := func(name, of string, decision journal.ConditionDecision) step {
		return linked(name, bench1, lf, "mk", func(ids map[string]journal.EntryID) journal.Payload {
			return &journal.ConditionRuling{Of: ids[of], Decision: decision, Reason: "looked at twice"}
		})
	}
	judged(t, []work{
		{"a crack that nobody decided about", "sound", lf, with("LF tagged caliper", found(journal.CrackedEar, "", lf)), false, "nobody has decided yet about the cracked ear at upper ear"},
		{"a crack that was refused, and fitted", "sound", lf, with("LF tagged caliper", found(journal.CrackedEar, journal.RefuseRefit, lf)), false, "refuse to refit, and the part is back on"},
		{"a hose that was to be replaced", "sound", lf, with("LF tagged caliper", found(journal.PerishedHose, journal.ReplaceIt, at("LF", ""))), false, "perished hose at upper ear: replace; nobody has written yet, as a new part at this corner, that another one is in"},
		{"a hose that was to be replaced, with a seal", "sound", lf, with("LF tagged caliper", found(journal.PerishedHose, journal.ReplaceIt, at("LF", "")), fitted(lf, "square-section seal", "hose clip")), false, "nobody has written yet"},
		{"a new hose at the other corner", "sound", lf, with("LF tagged caliper", found(journal.PerishedHose, journal.ReplaceIt, at("LF", "")), fitted(rf, "brake hose")), false, "nobody has written yet"},
		{"a new hose before the old one was found perished", "sound", lf, with("LF tagged caliper", fitted(lf, "brake hose"), found(journal.PerishedHose, journal.ReplaceIt, at("LF", ""))), false, "nobody has written yet"},
		{"a hose that was refused", "sound", lf, with("LF tagged caliper", found(journal.PerishedHose, journal.RefuseRefit, at("LF", ""))), false, "refuse to refit; nobody has written yet"},
		{"a new hose", "sound", lf, with("LF tagged caliper", found(journal.PerishedHose, journal.ReplaceIt, at("LF", "")), fitted(lf, "Brake hoses")), true, "perished hose at upper ear: replace"},
		{"a new hose, decided later", "sound", lf, with("LF tagged caliper", found(journal.PerishedHose, "", at("LF", "")), fitted(lf, "brake hose"), ruled("ruled", "found", journal.ReplaceIt)), true, "perished hose at upper ear: replace"},
		{"a new line", "sound", lf, with("LF tagged caliper", found(journal.CorrodedLine, journal.ReplaceIt, at("LF", "")), fitted(lf, "brake pipe, bent to shape")), true, "corroded line at upper ear: replace"},
		{"a line for a hose", "sound", lf, with("LF tagged caliper", found(journal.PerishedHose, journal.ReplaceIt, at("LF", "")), fitted(lf, "brake line")), false, "nobody has written yet"},
		{"a hose that was repaired", "sound", lf, with("LF tagged caliper", found(journal.PerishedHose, journal.UseAsIs, at("LF", ""))), true, "perished hose at upper ear: use as is"},
		{"a cracked ear that was repaired", "sound", lf, with("LF tagged caliper", found(journal.CrackedEar, journal.RepairIt, lf)), true, "cracked ear at upper ear: repair"},
		{"decided at once", "defects", lf, with("LF tagged caliper", found(journal.ScoredPiston, journal.ReplaceIt, lf)), true, "scored piston at upper ear: replace"},
		{"a pitted bore, and the same casting back on", "defects", lf, with("LF tagged caliper", found(journal.PittedBore, journal.ReplaceIt, lf)), false, "pitted bore at upper ear: replace, and the part is back on"},
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
