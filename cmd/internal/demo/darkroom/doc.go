// Package darkroom makes the photographs of an invented year out of plates:
// pictures that were drawn beforehand by the program in testdata/pictures, and
// are not photographs of anything. Each print is cut from its plate at a place of
// its own, lit and coloured anew, and has a slip of paper in the frame with what
// stands on it in the shop: so no two are one picture, and a card of one job is
// never in another's picture.
//
//	room := darkroom.Open()
//	jpeg, err := room.Print(shot, taken)
package darkroom
