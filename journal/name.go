package journal

import (
	"fmt"
	"slices"
	"strings"

	"fettlebook/journal/words"
)

// A Name is a short written name of the thing that the type parameter says:
// letters, digits, dot, dash and underscore, at most [MaxName] of them, the
// first a letter or digit. It never holds a slash or a space, so that names
// can stand in subjects and file names.
type Name[N noun] string

// noun says in words what a name names, for the sentence of a refusal, and by
// which word subjects speak of it, or "" if none does.
type noun interface {
	noun() string
	word() string
}

type (
	shop   struct{}
	device struct{}
	boot   struct{}
	person struct{}
	job    struct{}
	run    struct{}
	part   struct{}
	card   struct{}
	tool   struct{}
	lot    struct{}
	fluid  struct{}
	kit    struct{}
	sheet  struct{}
	route  struct{}
	hold   struct{}
)

func (shop) noun() string   { return "shop" }
func (device) noun() string { return "device" }
func (boot) noun() string   { return "boot" }
func (person) noun() string { return "person" }
func (job) noun() string    { return "job" }
func (run) noun() string    { return "run" }
func (part) noun() string   { return "part" }
func (card) noun() string   { return "customer card" }
func (tool) noun() string   { return "tool" }
func (lot) noun() string    { return "powder lot" }
func (fluid) noun() string  { return "fluid container" }
func (kit) noun() string    { return "kit" }
func (sheet) noun() string  { return "specification" }
func (route) noun() string  { return "route card" }
func (hold) noun() string   { return "hold point" }

func (shop) word() string   { return "" }
func (device) word() string { return "device" }
func (boot) word() string   { return "" }
func (person) word() string { return "person" }
func (job) word() string    { return "job" }
func (run) word() string    { return "run" }
func (part) word() string   { return "" }
func (card) word() string   { return "card" }
func (tool) word() string   { return "tool" }
func (lot) word() string    { return "lot" }
func (fluid) word() string  { return "fluid" }
func (kit) word() string    { return "kit" }
func (sheet) word() string  { return "spec" }
func (route) word() string  { return "route" }
func (hold) word() string   { return "" }

// The names that entries use. Shop, device, boot and job names are made by
// the program ([NewName]); the others are what the shop calls its things.
type (
	ShopID   = Name[shop]
	DeviceID = Name[device]
	BootID   = Name[boot] // which start of the device's program
	PersonID = Name[person]
	JobID    = Name[job]
	RunID    = Name[run] // a bake, soak or blast shared by many parts
	PartID   = Name[part]
	CardID   = Name[card]
	ToolID   = Name[tool]
	LotID    = Name[lot]
	FluidID  = Name[fluid]
	KitID    = Name[kit]
	SpecID   = Name[sheet]
	RouteID  = Name[route]
	HoldID   = Name[hold]
)

// ParseName checks a name. The error is a sentence that says what is wrong.
func ParseName[N noun](text string) (Name[N], error) {
	var n N
	if text == "" {
		return "", fmt.Errorf("the %s is missing", n.noun())
	}
	if len(text) > MaxName {
		return "", fmt.Errorf("the %s name %.12q… is longer than %d characters; shorten it", n.noun(), text, MaxName)
	}
	for i, r := range text {
		letter := r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9'
		if !letter && (i == 0 || !strings.ContainsRune("._-", r)) {
			return "", fmt.Errorf("the %s name %s may have letters, digits, dots, dashes and underscores only, and must start with a letter or digit", n.noun(), words.Quoted(text))
		}
	}
	return Name[N](text), nil
}

// IsZero reports whether no name was given.
func (n Name[N]) IsZero() bool { return n == "" }

// String returns the name as written.
func (n Name[N]) String() string { return string(n) }

// UnmarshalText checks and sets the name.
func (n *Name[N]) UnmarshalText(text []byte) error {
	got, err := ParseName[N](string(text))
	if err != nil {
		return err
	}
	*n = got
	return nil
}

// A Choice is one of a fixed list of words. The list may grow at its end in a
// later version of the payload; a word is never taken back.
type Choice[L list] string

// list gives the words of a choice.
type list interface{ words() []string }

// IsZero reports whether nothing was chosen.
func (c Choice[L]) IsZero() bool { return c == "" }

// UnmarshalText sets the choice if the list has the word.
func (c *Choice[L]) UnmarshalText(text []byte) error {
	var l L
	if !slices.Contains(l.words(), string(text)) {
		return fmt.Errorf("%s is not one of: %s", words.Quoted(string(text)), strings.Join(l.words(), ", "))
	}
	*c = Choice[L](text)
	return nil
}

// Words returns the allowed words in their order.
func (Choice[L]) Words() []string {
	var l L
	return l.words()
}

// written returns the words of choices.
func written[L list](choices ...Choice[L]) []string {
	words := make([]string, len(choices))
	for i, c := range choices {
		words[i] = string(c)
	}
	return words
}
