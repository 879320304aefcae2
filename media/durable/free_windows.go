package durable

import (
	"fmt"
	"syscall"
	"unsafe"
)

// Free returns how many bytes the disk that holds path has left for this
// user.
func Free(path string) (uint64, error) {
	name, err := syscall.UTF16PtrFromString(path)
	if err != nil {
		return 0, fmt.Errorf("measure free space of %s: %w", path, err)
	}
	var free uint64
	proc := syscall.NewLazyDLL("kernel32.dll").NewProc("GetDiskFreeSpaceExW")
	if ok, _, err := proc.Call(uintptr(unsafe.Pointer(name)), uintptr(unsafe.Pointer(&free)), 0, 0); ok == 0 {
		return 0, fmt.Errorf("measure free space of %s: %w", path, err)
	}
	return free, nil
}
