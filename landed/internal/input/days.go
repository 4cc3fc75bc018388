package input

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"lotcost/landed/internal/scrub"
)

// ParseDate reads a day, year-month-day, at 00:00 UTC. The years are those from 1900 to 2199: the
// day of another one stands beside the error. What another way of writing a day may mean is in the
// error.
func ParseDate(s string) (time.Time, error) {
	day, err := time.Parse(time.RFC3339, s+"T00:00:00Z") // which is read faster than a day alone
	switch {
	case err == nil && inRange(day):
		return day, nil
	case err == nil:
		return day, fmt.Errorf("%q is not a date: write a year from 1900 to 2199", s)
	}
	if meant := meantDays(s); len(meant) > 0 {
		return day, fmt.Errorf("%q is not written as year-month-day: write %s", s, strings.Join(meant, " or "))
	}
	return day, fmt.Errorf("%q is not a date: write year-month-day, as in 2026-10-03, and check that the month has that day", s)
}

func inRange(day time.Time) bool { return day.Year() >= 1900 && day.Year() <= 2199 }

// months are the beginnings of the names of the months in a few European
// languages, by number; the longest that a word begins with is its month.
var months = [...]string{1: "jan ene gen", 2: "feb fév fev", 3: "mar mär mrz mrt maa", 4: "apr avr abr", 5: "may mai maj mei mag", 6: "jun juin giu", 7: "jul juil lug",
	8: "aug ago aoû aou", 9: "sep set", 10: "oct okt ott out", 11: "nov", 12: "dec dez déc dic"}

// MonthNames lists them.
func MonthNames() []string { return strings.Fields(strings.Join(months[:], " ")) }

func monthOf(word string) int {
	best, length := 0, 0
	for month, names := range months {
		for name := range strings.FieldsSeq(names) {
			if len(name) > length && strings.HasPrefix(word, name) {
				best, length = month, len(name)
			}
		}
	}
	return best
}

var datePart = scrub.Pattern(`(?:[t ,]+(?:at )?[0-9]{1,2}[:h][0-9]{2}.*)$|([0-9]+)|(\p{L}+)`)

// meantDays are the days that a text may mean, as we write them, the likelier first:
// what names the month or the year is read in one way, else day and month may have
// changed places.
func meantDays(s string) []string {
	var numbers []string
	month, before := 0, 0 // before: how many numbers stand before the month's name
	for _, part := range datePart().FindAllStringSubmatch(strings.ToLower(scrub.Figure(s)), -1) {
		switch m := monthOf(part[2]); {
		case part[1] != "":
			numbers = append(numbers, part[1])
		case m > 0 && month > 0:
			return nil
		case m > 0:
			month, before = m, len(numbers)
		}
	}
	var days []string
	add := func(year, month, day string) {
		if d, err := dayOf(year, month, day); err == nil && !slices.Contains(days, d) {
			days = append(days, d)
		}
	}
	const compact = len("20261003")
	switch {
	case month > 0 && len(numbers) == 2:
		named := strconv.Itoa(month)
		if len(numbers[0]) == len("2026") || before == 2 && len(numbers[1]) < len(numbers[0]) {
			add(numbers[0], named, numbers[1])
		} else {
			add(numbers[1], named, numbers[0])
		}
	case len(numbers) == 1 && len(numbers[0]) == compact:
		n := numbers[0]
		add(n[:4], n[4:6], n[6:])
		add(n[4:], n[2:4], n[:2])
	case len(numbers) != 3:
	case len(numbers[0]) == len("2026"):
		add(numbers[0], numbers[1], numbers[2])
		if len(days) == 0 {
			add(numbers[0], numbers[2], numbers[1])
		}
	default:
		if strings.Contains(s, "-") && len(numbers[2]) <= 2 {
			add(numbers[0], numbers[1], numbers[2])
		}
		add(numbers[2], numbers[1], numbers[0])
		if !strings.Contains(s, ".") {
			add(numbers[2], numbers[0], numbers[1])
		}
	}
	return days[:min(len(days), 2)]
}

var errNoDay = errors.New("no such day")

// dayOf writes a day; a year of two digits is of this century.
func dayOf(year, month, day string) (string, error) {
	if len(year) == 2 {
		year = "20" + year
	}
	if len(month) > 2 || len(day) > 2 || len(year) != len("2026") {
		return "", errNoDay
	}
	written := fmt.Sprintf("%s-%02s-%02s", year, month, day)
	d, err := time.Parse(time.DateOnly, written)
	if err != nil || !inRange(d) {
		return "", errNoDay
	}
	return written, nil
}
