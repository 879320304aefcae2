package service

import (
	"context"
	"errors"
	"fmt"

	"golang.org/x/sys/windows"
	"golang.org/x/sys/windows/svc"
	"golang.org/x/sys/windows/svc/mgr"
)

// AsAsked runs the program as the system's services are run, and reports whether it was
// started so.
func AsAsked(run func(context.Context) int) (code int, so bool) {
	if is, err := svc.IsWindowsService(); err != nil || !is {
		return 0, false
	}
	h := &handler{run: run}
	if err := svc.Run("fettlebook", h); err != nil {
		return 1, true
	}
	return h.code, true
}

type handler struct {
	run  func(context.Context) int
	code int
}

// Execute implements [svc.Handler]: it tells the system how the program stands, and ends it
// when the system wants that.
func (h *handler) Execute(_ []string, asked <-chan svc.ChangeRequest, stands chan<- svc.Status) (bool, uint32) {
	ctx, end := context.WithCancel(context.Background())
	defer end()
	done := make(chan int, 1)
	go func() { done <- h.run(ctx) }()
	stands <- svc.Status{State: svc.Running, Accepts: svc.AcceptStop | svc.AcceptShutdown}
	for {
		select {
		case h.code = <-done:
			stands <- svc.Status{State: svc.Stopped}
			return true, uint32(h.code)
		case r := <-asked:
			switch r.Cmd {
			case svc.Interrogate:
				stands <- r.CurrentStatus
			case svc.Stop, svc.Shutdown:
				stands <- svc.Status{State: svc.StopPending, WaitHint: 60_000}
				end()
			}
		}
	}
}

// Keep has the system keep a service and start it, now and with the machine.
func Keep(w Wanted) error {
	m, err := mgr.Connect()
	if err != nil {
		return fmt.Errorf("install a service, which takes an administrator: %w", err)
	}
	defer m.Disconnect()
	s, err := m.CreateService(w.Name, w.Program, mgr.Config{DisplayName: w.About, StartType: mgr.StartAutomatic, DelayedAutoStart: true}, w.Args...)
	if errors.Is(err, windows.ERROR_SERVICE_EXISTS) {
		return fmt.Errorf("%w (%s)", ErrThere, w.Name)
	}
	if err != nil {
		return fmt.Errorf("install a service: %w", err)
	}
	defer s.Close()
	return s.Start()
}

// Forget has the system stop a service and forget it.
func Forget(name string) error {
	m, err := mgr.Connect()
	if err != nil {
		return fmt.Errorf("remove a service, which takes an administrator: %w", err)
	}
	defer m.Disconnect()
	s, err := m.OpenService(name)
	if errors.Is(err, windows.ERROR_SERVICE_DOES_NOT_EXIST) {
		return fmt.Errorf("%w (%s)", ErrNone, name)
	}
	if err != nil {
		return fmt.Errorf("remove a service: %w", err)
	}
	defer s.Close()
	_, _ = s.Control(svc.Stop) // it may not run
	return s.Delete()
}
