package broker

// Options and StreamDeviations open the two pure functions to the tests.
var (
	Options          = options
	StreamDeviations = deviations
)
