package bag

import "fmt"

// Reason says why a file is refused, as a stable written word.
type Reason string

// The reasons.
const (
	NotZip    Reason = "not a zip"
	TooLarge  Reason = "too large"
	TooMany   Reason = "too many"
	Bomb      Reason = "bomb"
	BadName   Reason = "name"
	Doubled   Reason = "doubled"
	NotAFile  Reason = "not a file"
	Packing   Reason = "packing"
	Overlaps  Reason = "overlaps"
	NotABag   Reason = "not a bag"
	Malformed Reason = "malformed"
)

// Refusal says that a file is not read as a bag at all: nothing that is in it
// can then be said to be right or wrong. Its text is a sentence for people.
type Refusal struct {
	Reason Reason
	Path   string // of the file inside that it is about, if it is about one
	Says   string
}

func (r *Refusal) Error() string { return r.Says }

func refuse(reason Reason, path, says string, args ...any) error {
	return &Refusal{Reason: reason, Path: path, Says: fmt.Sprintf(says, args...)}
}
