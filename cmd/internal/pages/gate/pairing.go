package gate

import (
	"errors"
	"io"
	"strings"
	"sync"
	"time"
	"unicode"
	"unicode/utf8"
)

// Why a phone was not paired.
var (
	ErrUnknownCode  = errors.New("this is not the pairing code on the tablet; look again, or show a new one there")
	ErrUsedCode     = errors.New("this pairing code has already been used; show a new one on the tablet")
	ErrExpiredCode  = errors.New("this pairing code is more than ten minutes old; show a new one on the tablet")
	ErrReplacedCode = errors.New("the tablet now shows a newer pairing code, or none; use the newest one")
	ErrGuessedCode  = errors.New("too many wrong pairing codes were tried, so this one no longer works; show a new one on the tablet")
	ErrName         = errors.New("give the phone a name of 1 to 40 letters and digits, such as Blue phone")
)

const (
	offerLife = 10 * time.Minute
	// maxWrong typed codes end an offer: all five together hit a code of 40 bits
	// with a chance of 1 in 200 thousand million.
	maxWrong = 5
	// maxOffers is how many are remembered, so that an old code gets the answer
	// that fits it.
	maxOffers = 16
	maxName   = 40
)

// Offer is a leave to pair one phone. Whoever sees it can pair.
type Offer struct {
	Link  string    // the code to put into the link of a QR picture, 160 bits
	Typed string    // the code to type by hand, such as 7KQ2-M4XB
	Until time.Time // it holds
}

// String does not show the codes.
func (Offer) String() string { return "a pairing offer" }

// GoString does not show the codes.
func (o Offer) GoString() string { return o.String() }

// Pairing hands out offers, one at a time. They are in memory only: a restart
// ends them.
type Pairing struct {
	now  func() time.Time
	rand io.Reader

	mu     sync.Mutex // guards offers
	offers []*offer   // oldest first; only the last can be open
}

type offer struct {
	link, typed code
	until       time.Time
	wrong       int   // typed codes that were tried
	closed      error // why, or nil
}

// NewPairing returns a Pairing without an offer.
func NewPairing(now func() time.Time, rand io.Reader) *Pairing {
	return &Pairing{now: now, rand: rand}
}

// Offer makes an offer, which replaces the one before.
func (p *Pairing) Offer() (Offer, error) {
	link, err := drawCode(p.rand, linkLength)
	if err != nil {
		return Offer{}, err
	}
	typed, err := drawCode(p.rand, typedLength)
	if err != nil {
		return Offer{}, err
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.withdraw()
	o := &offer{link: link, typed: typed, until: p.now().Add(offerLife)}
	if len(p.offers) == maxOffers {
		p.offers = p.offers[1:]
	}
	p.offers = append(p.offers, o)
	return o.shown(), nil
}

// Open returns the offer that a phone can take up now, if there is one.
func (p *Pairing) Open() (Offer, bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	o := p.open()
	if o == nil {
		return Offer{}, false
	}
	return o.shown(), true
}

// Withdraw takes the open offer back, if there is one.
func (p *Pairing) Withdraw() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.withdraw()
}

// Redeem takes up the open offer by either of its codes, for a phone of that
// name, and returns who the session is for. An offer can be taken up once. The
// errors are those above and [ErrCode]; a name or a text that cannot be right is
// not counted as a guess.
func (p *Pairing) Redeem(text, name string) (Holder, error) {
	name, err := phoneName(name)
	if err != nil {
		return Holder{}, err
	}
	c, err := parseCode(text)
	if err != nil {
		return Holder{}, err
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	open := p.open()
	for _, o := range p.offers {
		if !o.link.equal(c) && !o.typed.equal(c) {
			continue
		}
		if o.closed != nil {
			return Holder{}, o.closed
		}
		o.closed = ErrUsedCode
		return Holder{Role: Phone, Name: name}, nil
	}
	// Nobody guesses the code of a link, so a wrong one is an old one.
	if open != nil && len(c) == typedLength {
		if open.wrong++; open.wrong >= maxWrong {
			open.closed = ErrGuessedCode
			return Holder{}, ErrGuessedCode
		}
	}
	return Holder{}, ErrUnknownCode
}

func (p *Pairing) withdraw() {
	if o := p.open(); o != nil {
		o.closed = ErrReplacedCode
	}
}

// open returns the open offer or nil, having closed it if its time is up.
func (p *Pairing) open() *offer {
	if len(p.offers) == 0 {
		return nil
	}
	o := p.offers[len(p.offers)-1]
	if o.closed == nil && !p.now().Before(o.until) {
		o.closed = ErrExpiredCode
	}
	if o.closed != nil {
		return nil
	}
	return o
}

func (o *offer) shown() Offer {
	return Offer{Link: string(o.link), Typed: o.typed.spaced(), Until: o.until}
}

// phoneName tidies a name that a person gave a phone.
func phoneName(name string) (string, error) {
	name = strings.Join(strings.Fields(name), " ")
	if n := utf8.RuneCountInString(name); n == 0 || n > maxName || !utf8.ValidString(name) {
		return "", ErrName
	}
	for _, r := range name {
		if !unicode.IsPrint(r) {
			return "", ErrName
		}
	}
	return name, nil
}
