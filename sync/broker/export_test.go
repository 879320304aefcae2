package broker

// What is pure is opened to the tests.
var (
	Options          = options
	Users            = Register.users
	NewGuests        = newGuests
	StreamDeviations = deviations
)
