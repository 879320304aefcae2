//go:build !windows

package service

import (
	"context"
	"errors"
)

// AsAsked runs the program as the system's services are run, and reports whether it was
// started so. Only Windows has a manner of its own.
func AsAsked(func(context.Context) int) (code int, so bool) { return 0, false }

// Keep and Forget are for a system that keeps services itself.
func Keep(Wanted) error   { return errors.ErrUnsupported }
func Forget(string) error { return errors.ErrUnsupported }
