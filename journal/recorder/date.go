package recorder

// date reads a date to a number of days. The forms are 2026-03-12, also with points or
// slashes; 12.03.2026; and 03/12/2026 or 03-12-2026. A year of two digits, after a point or
// a slash only, is of this century.
//
// The last two forms can be read in two ways. Their order is the one given in the Format or
// the file's header, or else known from the first date with a number above 12; until then a
// date is ambiguous unless its day and month are equal.
func (t *timeReader) date(cell []byte) (day float64, ok bool) {
	if len(cell) == len(t.lastDate) && string(cell) == string(t.lastDate[:]) {
		return t.lastDay, true
	}
	t.ambiguous = false
	var numbers, widths [3]int
	n := 0
	var mark byte
	for _, c := range cell {
		switch {
		case '0' <= c && c <= '9' && widths[n] < 4:
			numbers[n] = numbers[n]*10 + int(c-'0')
			widths[n]++
		case (c == '-' || c == '.' || c == '/') && n < 2 && widths[n] > 0 && (mark == 0 || mark == c):
			mark = c
			n++
		default:
			return 0, false
		}
	}
	if n < 2 || widths[1] > 2 {
		return 0, false
	}
	d, m, y := numbers[0], numbers[1], numbers[2]
	switch {
	case widths[0] == 4 && widths[2] <= 2:
		d, y = y, d
	case widths[0] > 2 || widths[2] != 4 && (widths[2] != 2 || mark == '-'):
		return 0, false
	case mark != '.':
		if !t.orderOf(d, m) {
			return 0, false
		}
		if t.order == MonthFirst {
			d, m = m, d
		}
	}
	if widths[0] != 4 && widths[2] == 2 {
		y += 2000
	}
	if m < 1 || m > 12 || d < 1 || d > daysIn(m, y) {
		return 0, false
	}
	day = float64(dayNumber(y, m, d))
	if len(cell) == len(t.lastDate) {
		copy(t.lastDate[:], cell)
		t.lastDay = day
	}
	return day, true
}

// orderOf makes the order known from a date's first two numbers if it can be. It reports
// whether the date can be read.
func (t *timeReader) orderOf(first, second int) bool {
	switch {
	case t.order != "" || first == second:
	case first > 12:
		t.order = DayFirst
	case second > 12:
		t.order = MonthFirst
	default:
		t.ambiguous = true
	}
	return !t.ambiguous
}

func daysIn(month, year int) int {
	switch {
	case month == 2 && year%4 == 0 && (year%100 != 0 || year%400 == 0):
		return 29
	case month == 2:
		return 28
	case month == 4 || month == 6 || month == 9 || month == 11:
		return 30
	}
	return 31
}

// dayNumber counts days in the Gregorian calendar, from years that begin in March so that
// the leap day is the last of its year.
func dayNumber(year, month, day int) int {
	if month < 3 {
		year--
		month += 12
	}
	return 365*year + year/4 - year/100 + year/400 + (153*(month-3)+2)/5 + day
}
