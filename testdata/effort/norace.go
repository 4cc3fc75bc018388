//go:build !race

package effort

const underRace = false
