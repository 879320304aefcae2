// Package alike tells whether a copy of a photograph shows what its thumbnail
// shows.
//
//	var l alike.Looker
//	copied, err := l.Copy(ctx, file)
//	...
//	small, err := l.Thumb(ctx, thumb)
//	...
//	same, err := copied.Like(small)
//
// Both are averaged down to the same few squares, and their brightness and
// colour are compared square by square. A copy that was only encoded anew, made
// smaller or stripped of its notes stays within a few steps of its thumbnail;
// another picture does not. It shows that they show the same. It does not show
// that no pixel was changed: what is smaller than a square, or hardly brighter
// or darker than what it replaced, is not found.
//
// What is compared may come from anyone. Of a large JPEG only the mean of each
// block of eight by eight pixels is read, so memory does not grow with what a
// file claims to hold, and time with its bytes only.
package alike
