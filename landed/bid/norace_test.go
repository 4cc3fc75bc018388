//go:build !race

package bid_test

const underRace = false
