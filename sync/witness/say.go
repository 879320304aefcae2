package witness

import (
	"context"
	"errors"
	"net"

	"fettlebook/journal/witnessed"
)

// Say says in a sentence what is wrong with somebody who does not answer as
// asked.
func (t Trouble) Say() string {
	for _, known := range []struct {
		err  error
		says string
	}{
		{ErrUnknown, "It does not know this shop’s log. Have the log’s key added there."},
		{ErrWrongKey, "It knows this shop’s log by another key. Have the right key added there."},
		{ErrAhead, "It signed a longer state of this log than the one that is here. This hub may run on an old copy of its data."},
		{ErrHistory, "It signed another history of this log than the one that is here. This hub may have gone on from an old copy of its data."},
		{witnessed.ErrNoCosignature, "Its signature is not by the key that was agreed."},
		{witnessed.ErrOtherState, "Its timestamp is of something else."},
		{witnessed.ErrNonce, "Its timestamp answers another question."},
		{witnessed.ErrAuthority, "The certificate by which it signs does not hold."},
		{witnessed.ErrStamp, "What it answered is not a valid timestamp."},
		{ErrAnswer, "It did not give what it was asked for."},
		{context.DeadlineExceeded, "It did not answer in time."},
	} {
		if errors.Is(t.Err, known.err) {
			return known.says
		}
	}
	var network net.Error
	if errors.As(t.Err, &network) {
		return "It cannot be reached."
	}
	return "The log on this machine says why."
}
