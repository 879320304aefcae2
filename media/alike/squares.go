package alike

// side is how many squares there are across and down.
const side = 16

// Squares is how many squares a picture is averaged down to.
const Squares = side * side

// squares are the means of a picture's brightness and of its two colours, row
// by row.
type squares [3][side * side]float32

// picture is a picture as planes of samples, each the mean of some pixels.
type picture struct {
	width, height int      // pixels, as stored
	orientation   int      // as the Exif tag Orientation says it (CIPA DC-008, 4.6.4); 0 is upright
	planes        [3]plane // a plane without samples is grey all over
}

// plane is a plane of samples.
type plane struct {
	pix           []byte
	stride        int
	width, height int // samples
	across, down  int // pixels that a sample is the mean of
}

// grey is a colour that is none.
const grey = 128

// sight averages a picture down, turned upright.
func (p *picture) sight() Sight {
	s := Sight{width: p.width, height: p.height}
	for i := range p.planes {
		var stored [side * side]float64
		if p.planes[i].pix == nil {
			for at := range stored {
				stored[at] = grey
			}
		} else {
			stored = p.planes[i].squares(p.width, p.height)
		}
		for y := range side {
			for x := range side {
				fromX, fromY := upright(x, y, p.orientation)
				s.squares[i][y*side+x] = float32(stored[fromY*side+fromX])
			}
		}
	}
	return s
}

// upright says where a square of the upright picture is stored.
func upright(x, y, orientation int) (storedX, storedY int) {
	const last = side - 1
	switch orientation {
	case 2:
		return last - x, y
	case 3:
		return last - x, last - y
	case 4:
		return x, last - y
	case 5:
		return y, x
	case 6:
		return y, last - x
	case 7:
		return last - y, last - x
	case 8:
		return last - y, x
	default:
		return x, y
	}
}

// span is a stretch of samples that a square covers, with the share of each end
// one.
type span struct {
	from, to    int // both included
	first, last float64
}

// spans are the samples of the squares across, of a plane of n samples of which
// each is the mean of so many of the pixels.
func spans(pixels, each, n int) (list [side]span) {
	for i := range list {
		begin := float64(pixels*i) / float64(side*each)
		end := float64(pixels*(i+1)) / float64(side*each)
		from := min(int(begin), n-1)
		to := min(int(end), n-1)
		if float64(to) == end && to > from {
			to-- // it ends where this one begins
		}
		list[i] = span{from, to, float64(from+1) - begin, end - float64(to)}
		if from == to {
			list[i].first = end - begin
		}
	}
	return list
}

func (s span) share(i int) float64 {
	switch i {
	case s.from:
		return s.first
	case s.to:
		return s.last
	default:
		return 1
	}
}

func (p *plane) squares(width, height int) (list [side * side]float64) {
	columns, rows := spans(width, p.across, p.width), spans(height, p.down, p.height)
	for y, row := range rows {
		var sums [side]float64
		var tall float64
		for j := row.from; j <= row.to; j++ {
			line, weight := p.pix[j*p.stride:], row.share(j)
			tall += weight
			for x, column := range columns {
				var sum, wide float64
				for i := column.from; i <= column.to; i++ {
					share := column.share(i)
					sum += share * float64(line[i])
					wide += share
				}
				sums[x] += weight * sum / wide
			}
		}
		for x, sum := range sums {
			list[y*side+x] = sum / tall
		}
	}
	return list
}
