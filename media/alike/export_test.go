package alike

import (
	"context"
	"math"

	"fettlebook/media"
)

// Same looks at a copy and a thumbnail, by themselves.
func Same(ctx context.Context, copied, thumb []byte) (bool, error) {
	var l Looker
	small, err := l.Thumb(ctx, thumb)
	if err != nil {
		return false, err
	}
	s, err := l.Copy(ctx, copied)
	if err != nil {
		return false, err
	}
	return s.Like(small)
}

// Spend does as if a picture had been looked at that takes so much work.
func (l *Looker) Spend(work float64) (left float64, err error) {
	err = l.take(work)
	return mostWork - l.work, err
}

// Blocks reads a JPEG by its blocks, however small it is.
func Blocks(raw []byte) (Sight, error) {
	if len(raw) < 2 {
		return Sight{}, errBroken
	}
	p, err := means(raw)
	if err != nil {
		return Sight{}, err
	}
	return p.sight(), nil
}

// Apart is how far a sight is, in the mean, from that of a JPEG that is decoded
// whole.
func Apart(raw []byte, s Sight) (far float64) {
	p, err := decoded(raw, media.JPEG)
	if err != nil {
		return math.Inf(1)
	}
	for i, plane := range p.sight().squares {
		for at, v := range plane {
			far += math.Abs(float64(v-s.squares[i][at])) / (3 * side * side)
		}
	}
	return far
}
