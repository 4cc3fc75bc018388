//go:build !race

package resale_test

const underRace = false
