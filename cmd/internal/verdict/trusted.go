package verdict

import (
	"crypto/x509"
	"fmt"
	"io"
	"os"

	"fettlebook/cmd/internal/exit/code"
	"fettlebook/journal/evidence"
	"fettlebook/journal/witnessed"
)

// Trusted reads what whoever checks a dossier has from elsewhere: the customer's
// receipt, and the name of a file with the root certificates of timestamp
// authorities. What is not given is "".
func Trusted(receipt, authorities string) (by evidence.Trusted, err error) {
	if by.Receipt, err = Receipt(receipt); err != nil || authorities == "" {
		return by, err
	}
	file, err := os.Open(authorities)
	if err != nil {
		return by, &code.Error{Status: code.NotFound, Sentence: fmt.Sprintf("There is no file %s, or it cannot be read.", authorities), Err: err}
	}
	defer file.Close()
	raw, err := io.ReadAll(io.LimitReader(file, witnessed.MaxRoots+1))
	if err != nil {
		return by, &code.Error{Status: code.Refused, Sentence: fmt.Sprintf("The certificates %s cannot be read.", authorities), Err: err}
	}
	by.Authorities, err = Authorities(raw)
	return by, err
}

// Authorities reads root certificates as authorities publish them; nil if there
// are none.
func Authorities(text []byte) ([]*x509.Certificate, error) {
	if len(text) == 0 {
		return nil, nil
	}
	list, err := witnessed.ParseRoots(text)
	if err != nil {
		return nil, &code.Error{Status: code.Refused, Sentence: "These are not the root certificates of a timestamp authority: a text that begins with -----BEGIN CERTIFICATE-----.", Err: err}
	}
	return list, nil
}
