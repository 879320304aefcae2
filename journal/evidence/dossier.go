package evidence

import (
	"errors"
	"fmt"
	"iter"

	"fettlebook/journal"
	"fettlebook/media"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// Form and Edition begin every dossier.json. A change that an older program
// would misread is another edition.
const (
	Form    = "fettlebook dossier"
	Edition = 1
)

// Dossier is dossier.json: what lies in the bag and how it belongs together.
// It claims nothing that is not proven by the files it names; what it leaves
// out, [Verify] finds missing.
type Dossier struct {
	Form    string           `json:"form"`
	Edition int              `json:"edition"`
	Shop    journal.ShopID   `json:"shop"`
	Hub     journal.DeviceID `json:"hub"` // whose log is the register
	About   About            `json:"about"`
	Asked   Asked            `json:"asked"`
	Logs    []Log            `json:"logs"` // sorted by device
	// Witnesses are the keys, in verifier form, of those whose lines stand on
	// states of the hub's log.
	Witnesses []string `json:"witnesses,omitempty"`
	Entries   []Item   `json:"entries"` // sorted by place
	Seals     []Seal   `json:"seals,omitempty"`
	Cited     []Cited  `json:"cited,omitempty"` // sorted by device, then size
	Photos    []Photo  `json:"photos,omitempty"`
	Cards     []Card   `json:"cards,omitempty"`
	Left      []Left   `json:"left,omitempty"`
}

// About says what the dossier is about: exactly one of Vehicle, Claim and
// neither, which is a job. Jobs are those whose entries are here.
type About struct {
	Jobs    []journal.JobID `json:"jobs"`
	Vehicle string          `json:"vehicle,omitzero"` // VIN or plate, as it was asked for
	Claim   journal.EntryID `json:"claim,omitzero"`   // the claim.opened entry
}

// Asked is what was asked for when the dossier was made.
type Asked struct {
	Photos   PhotoChoice `json:"photos"`
	Location bool        `json:"location"` // originals as they are; otherwise copies without location
	Names    bool        `json:"names"`    // the people's cards
	Customer bool        `json:"customer"` // the customer's card
}

// PhotoChoice says which photographs were asked for.
type PhotoChoice string

// The choices.
const (
	Originals  PhotoChoice = "originals" // or copies of them without location
	Thumbnails PhotoChoice = "thumbnails"
	NoPhotos   PhotoChoice = "none"
)

// Log is a log of which there are entries here. The hub's is always among
// them.
type Log struct {
	Device journal.DeviceID `json:"device"`
	// Keys are the verifier keys with which the register admitted the device,
	// oldest first: repeated here for whoever checks with other tools.
	Keys   []string `json:"keys"`
	States []State  `json:"states"` // by rising size
}

// State is a signed and, as a rule, countersigned state of a log: a file at
// [CheckpointPath]. Every entry is proven in the first state that covers it
// and that the hub countersigned, which is the tightest word on when the hub
// held it.
type State struct {
	Size int64 `json:"size"`
	// Grown proves that the log grew from the state before this one to this
	// one and nothing in it was changed (RFC 6962, consistency). It is empty
	// for the first state.
	Grown []journal.Digest `json:"grown,omitempty"`
	// Stamped says that a timestamp authority's answer over the file lies at
	// [StampPath]. Only states of the hub's log have one.
	Stamped bool `json:"stamped,omitzero"`
}

// Item is an entry that is here: its bytes at [EntryPath], its proof at
// [ProofPath], whose checkpoint is one of the log's states, byte for byte.
type Item struct {
	At  At              `json:"at"`
	ID  journal.EntryID `json:"id"`
	Why Why             `json:"why"`
}

// Why says for what an entry is here. The first reason that holds is given.
type Why string

// The reasons.
const (
	ForJob      Why = "job"      // about the job, its corners and parts
	ForRun      Why = "run"      // about a run that parts of the job took part in
	ForRegister Why = "register" // shop, devices, people: who may have written this
	ForRoute    Why = "route"    // the route card that the job is pinned to
	ForThing    Why = "thing"    // tools, lots, fluids, kits and figures that were used
	ForCard     Why = "card"     // commits to a customer card
	ForClaim    Why = "claim"    // belongs to the claim
	ForOrder    Why = "order"    // says how logs belong together
)

// Seal is what a record.sealed entry covers: the entries of the job and those
// of the runs its parts took part in, in the order in which they were hashed.
// That these are the ones, and all, is proven by the root that the entry
// states (proof.Seal) and by their number.
type Seal struct {
	Job    journal.JobID `json:"job"`
	At     At            `json:"at"` // the record.sealed
	Covers []Covered     `json:"covers"`
}

// Covered is one entry under a seal. If the entry itself is withheld, the hash
// of its leaf stands in for it (RFC 6962: SHA-256 of a zero byte and the
// entry's bytes), so that the seal can be checked all the same.
type Covered struct {
	At   At             `json:"at"`
	Leaf journal.Digest `json:"leaf,omitzero"` // only if the entry is not here
}

// Cited is a state of a log as entries cite it, in after or in seen: so much
// of it had their writers seen. Only logs and citations of entries that are
// here matter. Grown proves the state in the first of the log's states that is
// at least as large (RFC 6962, consistency; empty if it has the same size). So
// an entry saw another one that is here if it cites a state, proven so, that
// is larger than the other's index.
type Cited struct {
	Device journal.DeviceID `json:"device"`
	Size   int64            `json:"size"`
	Root   journal.Digest   `json:"root"` // whole; after cites its first 16 bytes
	Grown  []journal.Digest `json:"grown,omitempty"`
}

// Photo is a photograph that entries cite, once for each pair of hashes.
// Which of its files are here is said; their paths follow.
type Photo struct {
	Ref   media.Ref `json:"ref"`   // the original's hash
	Thumb media.Ref `json:"thumb"` // the thumbnail's hash
	Cited []At      `json:"cited"` // by which entries, sorted
	Ext   Ext       `json:"ext,omitzero"`

	Original  bool `json:"original,omitzero"`  // at OriginalPath
	Thumbnail bool `json:"thumbnail,omitzero"` // at ThumbPath
	// Copy is the hash of the copy without location, at CopyPath; zero if
	// there is none. The original's bytes are then not here.
	Copy media.Ref `json:"copy,omitzero"`
	// Missing says why neither original nor copy is here, if they were asked
	// for.
	Missing Missing `json:"missing,omitzero"`
}

// files yields the paths of the files that are said to be here, with the hashes
// that they must have.
func (p *Photo) files() iter.Seq2[string, media.Ref] {
	return func(yield func(string, media.Ref) bool) {
		switch {
		case p.Original && !yield(OriginalPath(p.Ref, p.Ext), p.Ref):
		case !p.Copy.IsZero() && !yield(CopyPath(p.Ref, p.Ext), p.Copy):
		case p.Thumbnail:
			yield(ThumbPath(p.Thumb), p.Thumb)
		}
	}
}

// Missing says why an original that was asked for is not here.
type Missing string

// The reasons.
const (
	Withdrawn  Missing = "withdrawn"    // at the shop's desk; its hash stays
	NotYetHere Missing = "not at hub"   // the tablet has not sent it yet
	OfOthers   Missing = "of others"    // it may show another customer's car
	Unreadable Missing = "cannot strip" // it cannot be read to take the location out
	Spoilt     Missing = "spoilt"       // the shop's file is not the one that was cited any more
)

// Says says the reason in words; "" if none is given.
func (m Missing) Says() string {
	switch m {
	case Withdrawn:
		return "it was withdrawn at the shop’s desk"
	case NotYetHere:
		return "the tablet had not sent it yet"
	case OfOthers:
		return "it may show another customer’s car"
	case Unreadable:
		return "its location could not be taken out"
	case Spoilt:
		return "the shop’s file of it was changed or damaged"
	default:
		return string(m)
	}
}

// Card is a customer card or a person's card that is here, at [CardPath]: the
// JSON of a journal.Card.
type Card struct {
	Card journal.CardID `json:"card"`
	At   At             `json:"at"` // the card.written that commits to it
}

// Left says what is left out on purpose, for people.
type Left struct {
	What  string `json:"what"` // "photographs that may show another customer's car"
	Count int    `json:"count,omitzero"`
	Why   string `json:"why"`
}

// ErrDossier is wrapped when bytes are not a dossier.json.
var ErrDossier = errors.New("this is not the description of a dossier")

// ErrTooMuch is wrapped when a dossier lists more than one may.
var ErrTooMuch = errors.New("it lists more than a dossier may")

// Encode writes dossier.json. The same dossier gives the same bytes.
func (d *Dossier) Encode() ([]byte, error) {
	if err := d.valid(); err != nil {
		return nil, err
	}
	raw, err := json.Marshal(d, json.Deterministic(true), jsontext.WithIndent(" "))
	if err == nil && len(raw) > MaxDossierBytes {
		err = fmt.Errorf("%w: %d bytes, of at most %d", ErrTooMuch, len(raw), MaxDossierBytes)
	}
	if err != nil {
		return nil, fmt.Errorf("describe a dossier: %w", err)
	}
	return append(raw, '\n'), nil
}

// Decode reads dossier.json strictly. The error wraps [ErrDossier], or
// journal.ErrNewer if a newer program made it.
func Decode(raw []byte) (*Dossier, error) {
	var head struct {
		Form    string `json:"form"`
		Edition int    `json:"edition"`
	}
	if err := json.Unmarshal(raw, &head); err != nil || head.Form != Form || head.Edition < 1 {
		return nil, fmt.Errorf("%w: it does not begin as one", ErrDossier)
	}
	if head.Edition > Edition {
		return nil, fmt.Errorf("edition %d of a dossier: %w", head.Edition, journal.ErrNewer)
	}
	d := new(Dossier)
	if err := json.Unmarshal(raw, d, json.RejectUnknownMembers(true)); err != nil {
		return nil, fmt.Errorf("%w: %s", ErrDossier, misread(err))
	}
	if err := d.valid(); err != nil {
		return nil, err
	}
	return d, nil
}

// misread says where a decoder stopped, and nothing of its own words: they
// differ from run to run.
func misread(err error) string {
	var member *json.SemanticError
	var bad *jsontext.SyntacticError
	switch {
	case errors.Is(err, json.ErrUnknownName) && errors.As(err, &member):
		return fmt.Sprintf("nothing is known of %q", string(member.JSONPointer))
	case errors.As(err, &member):
		return fmt.Sprintf("what stands at %q is not as it must be", string(member.JSONPointer))
	case errors.As(err, &bad):
		return fmt.Sprintf("it is not proper JSON at byte %d", bad.ByteOffset)
	default:
		return "it cannot be read"
	}
}
