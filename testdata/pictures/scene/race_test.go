//go:build race

package scene_test

const underRace = true
