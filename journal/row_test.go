package journal

import "testing"

// A kind that leaves a question open would be judged by silence.
func TestEveryRowAnswers(t *testing.T) {
	seen := make(map[Kind]bool)
	for _, s := range register {
		if s.kind == "" || s.version == 0 || s.about == "" || s.blank == nil || s.writer == 0 || s.hand == 0 || s.step == "" || s.traits == 0 {
			t.Errorf("%s leaves a question open: %+v", s.kind, s)
		}
		if s.traits&Plain != 0 && s.traits != Plain {
			t.Errorf("%s is plain and something else", s.kind)
		}
		if s.blank().Kind() != s.kind {
			t.Errorf("the payload of %s says that it is of %s", s.kind, s.blank().Kind())
		}
		if seen[s.kind] {
			t.Errorf("%s stands twice", s.kind)
		}
		seen[s.kind] = true
	}
}

// Whatever works on brakes or checks them has a name, and nothing else.
func TestWorkHasAName(t *testing.T) {
	for _, s := range register {
		if named := s.kind.Work() != ""; named != (s.traits&(WorksOnBrakes|ChecksBrakes) != 0) {
			t.Errorf("%s has a name: %t", s.kind, named)
		}
	}
}
