package words

import "time"

// The forms in which people read days and times where no shop chose others: see [Writing].
// What programs read is ISO 8601.
const (
	dayForm   = "2 January 2006"
	clockForm = "15:04"
)

// Day is a day: "2 March 2027".
func Day(t time.Time) string { return Writing{}.Day(t) }

// Clock is a time of a day that is known: "15:04". Every shop writes it so.
func Clock(t time.Time) string { return t.Format(clockForm) }

// Moment is a day and a time: "2 March 2027 15:04".
func Moment(t time.Time) string { return Writing{}.Moment(t) }

// ThisYear is a Moment of a year that is known: "2 March 15:04".
func ThisYear(t time.Time) string { return Writing{}.ThisYear(t) }

// Second is a Moment to the second: "2 March 2027 15:04:05".
func Second(t time.Time) string { return Writing{}.Second(t) }

// Zoned is a Moment with its zone, as where a paper may leave the shop: "2 March 2027 15:04
// UTC+01:00".
func Zoned(t time.Time) string { return Writing{}.Zoned(t) }

// Zone is how far a time's zone is from UTC: "UTC+01:00".
func Zone(t time.Time) string { return t.Format("UTC-07:00") }
