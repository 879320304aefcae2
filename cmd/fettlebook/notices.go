package main

import (
	_ "embed"
	"fmt"
)

// The licences of all that is in this program. testdata/notices gathers them.
//
//go:embed notices.txt
var thirdParties string

type notices struct{}

// Run prints under which licences the work of others is in this program.
func (*notices) Run(t *terminal) error {
	_, err := fmt.Fprint(t.Out, thirdParties)
	return err
}
