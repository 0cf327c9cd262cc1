package cli

import (
	"os"
	"syscall"
	"unsafe"
)

// fileIsTerminal asks the kernel for the settings that only terminals have.
func fileIsTerminal(f *os.File) bool {
	conn, err := f.SyscallConn()
	if err != nil {
		return false
	}
	is := false
	err = conn.Control(func(fd uintptr) {
		var settings syscall.Termios
		_, _, no := syscall.Syscall(syscall.SYS_IOCTL, fd, syscall.TCGETS, uintptr(unsafe.Pointer(&settings)))
		is = no == 0
	})
	return err == nil && is
}
