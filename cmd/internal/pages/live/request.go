package live

import (
	"context"
	"net/http"
)

// asked is the view of one request.
type asked struct{ view *Snapshot }

type askedKey struct{}

// Once has all that answers one request look at the shop by one view, so that
// what could not be read is known before the page is sent ([Trouble]).
func Once(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		next.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), askedKey{}, new(asked))))
	})
}

// View looks at the shop as it is: by the request's view, if it has one.
func (l *Live) View(ctx context.Context) *Snapshot {
	a, _ := ctx.Value(askedKey{}).(*asked)
	if a == nil {
		return l.Shop.View(ctx)
	}
	if a.view == nil {
		a.view = l.Shop.View(ctx)
	}
	return a.view
}

// renew has a request look at the shop anew, since it has changed it.
func (l *Live) renew(ctx context.Context) *Snapshot {
	v := l.Shop.View(ctx)
	if a, _ := ctx.Value(askedKey{}).(*asked); a != nil {
		a.view = v
	}
	return v
}

// Trouble is what could not be read for the request.
func Trouble(ctx context.Context) error {
	if a, _ := ctx.Value(askedKey{}).(*asked); a != nil && a.view != nil {
		return a.view.Err()
	}
	return nil
}
