package exchange

import _ "embed"

// Mapping says for people how entries become what is written in each format.
//
//go:embed mapping.txt
var Mapping string
