package dossier

// Holds reports whether a text has what a card says.
func Holds(text, says string) bool {
	list := wordsOf(text)
	for i := range list {
		if holds(text, list, i, says) {
			return true
		}
	}
	return false
}

// Spells reports whether a text may have a plate or a VIN, squashed.
func Spells(text, name string) bool {
	for got := range spelled(text) {
		if got == name {
			return true
		}
	}
	return false
}
