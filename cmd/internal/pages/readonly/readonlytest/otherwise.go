package readonlytest

import (
	"html"
	"os"
	"regexp"
	"slices"
	"strings"

	"fettlebook/journal/words"
)

// Ways are ways of writing that differ from each other in all that can be told apart: in
// both decimal signs, and in every form of a day. By default they are two, where pages are
// looked at everywhere all.
func Ways() []words.Writing {
	all := []words.Writing{
		{},
		{Days: words.YearFirst},
		{Decimal: words.Comma, Days: words.PointsDayFirst},
		{Decimal: words.Comma, Thousands: words.ThinSpace, Days: words.SlashesDayFirst},
		{Days: words.SlashesMonthFirst},
		{Decimal: words.Comma},
	}
	if os.Getenv("FETTLEBOOK_PAGES") != "all" {
		return all[3:4]
	}
	return all
}

// Otherwise lists what in a text for people is written in another way than the shop's. The
// days of the demonstration's story lie behind the 12th of a month where it matters which
// number is the month.
func Otherwise(text string, w words.Writing) (found []string) {
	for _, name := range notWritten() {
		text = strings.ReplaceAll(text, name, " ")
	}
	text = choice.ReplaceAllString(text, " ")
	const month = `(?:January|February|March|April|May|June|July|August|September|October|November|December)`
	forms := map[words.DayForm]string{
		words.MonthInWords:      `\b\d{1,2} ` + month + ` (?:\d{4}\b|\d{1,2}:)`,
		words.YearFirst:         `\b\d{4}-\d{2}-\d{2}\b`,
		words.PointsDayFirst:    `\b\d{2}\.\d{2}\.\d{4}\b`,
		words.SlashesDayFirst:   `\b(?:1[3-9]|2\d|3[01])/\d{2}/\d{4}\b`,
		words.SlashesMonthFirst: `\b\d{2}/(?:1[3-9]|2\d|3[01])/\d{4}\b`,
	}
	for form, expression := range forms {
		if form != w.Days {
			found = append(found, regexp.MustCompile(expression).FindAllString(text, -1)...)
		}
	}
	day := regexp.MustCompile(`\b\d{2}\.\d{2}\.\d{4}\b`)
	text = day.ReplaceAllString(text, " ")
	sign := `\.`
	if w.Decimal == words.Point {
		sign = `,`
	}
	number := regexp.MustCompile(`(?:^|[^\w.,/-])(\d+` + sign + `\d+)(?:[^\w.,/-]|[.,](?:\D|$)|$)`)
	for _, at := range number.FindAllStringSubmatch(text, -1) {
		found = append(found, at[1])
	}
	slices.Sort(found)
	return slices.Compact(found)
}

// notWritten is what looks like a number and is a name that stays as it is.
func notWritten() []string {
	return []string{
		"DOT 5.1",  // a grade of brake fluid
		"1910.244", // sections of the Code of Federal Regulations
		"565.15", "571.116",
		"about 3.7 % water", // what a source says, in its own words

		// What the form of the ways says of them.
		"22.5 or 22,5", "30 November 2026, 2026-11-30, 30.11.2026, 30/11/2026 or 11/30/2026",
	}
}

// choice is an entry by which a way was chosen: it shows that way, also once there is
// another.
var choice = regexp.MustCompile(`(?s)he shop writes numbers like.{1,80}?;`)

var (
	asIs  = regexp.MustCompile(`(?s)<p class="long-code">.*?</p>|<pre\b.*?</pre>|<textarea\b.*?</textarea>`) // an entry's own data, codes, the text of a card, what is typed in words
	quiet = regexp.MustCompile(`(?s)<(script|style)\b.*?</(?:script|style)>`)
	told  = regexp.MustCompile(`(?:title|aria-label|alt|placeholder)="([^"]*)"`)
	typed = regexp.MustCompile(`<input\b[^>]*inputmode="decimal"[^>]*>`)
	held  = regexp.MustCompile(`value="([^"]*)"`)
	tag   = regexp.MustCompile(`<[^>]*>`)
)

// ReadOn is all that a person reads on a page, seen or heard, and what stands in its number
// fields; a line each.
func ReadOn(page string) string {
	page = asIs.ReplaceAllString(quiet.ReplaceAllString(page, ""), "")
	var all []string
	for _, at := range told.FindAllStringSubmatch(page, -1) {
		all = append(all, html.UnescapeString(at[1]))
	}
	for _, input := range typed.FindAllString(page, -1) {
		if at := held.FindStringSubmatch(input); at != nil {
			all = append(all, html.UnescapeString(at[1]))
		}
	}
	all = append(all, html.UnescapeString(tag.ReplaceAllString(page, "\n")))
	return strings.Join(all, "\n")
}
