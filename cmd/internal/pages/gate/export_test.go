package gate

// Inner doors for the tests.

const (
	MaxSessions = maxSessions
	MaxSenders  = maxSenders
)

var (
	ParseSessions  = parseSessions
	FormatSessions = formatSessions
)

// RewriteHash reads a PHC string and writes it again.
func RewriteHash(text string) (string, error) {
	h, err := parsePHC(text)
	if err != nil {
		return "", err
	}
	return h.phc(), nil
}

// HashFits reads a PHC string and checks a passphrase against it.
func HashFits(text, passphrase string) (bool, error) {
	h, err := parsePHC(text)
	if err != nil {
		return false, err
	}
	return h.fits(passphrase), nil
}

// ReadCode reads a pairing code as it was typed.
func ReadCode(text string) (string, error) {
	c, err := parseCode(text)
	return string(c), err
}

// Senders counts the senders whose tries are remembered.
func (p *Passphrase) Senders() int { return len(p.turnstile.senders) }

// Busy keeps the place of the one hash that is worked out, until released.
func (p *Passphrase) Busy() (release func()) {
	p.busy <- struct{}{}
	return p.done
}
