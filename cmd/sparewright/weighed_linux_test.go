package main

import (
	"fmt"
	"os"
	"os/exec"
	"syscall"
)

func init() { programs["sparewright-weighed"] = weighed }

// weighed runs the program and writes the most memory it held, in KiB, into the file named first.
// It is a process of its own because Linux counts the memory of the process that started another
// one to that other one, and tests hold much.
func weighed() {
	cmd := exec.Command("sparewright", os.Args[2:]...)
	cmd.Stdin, cmd.Stdout, cmd.Stderr = os.Stdin, os.Stdout, os.Stderr
	_ = cmd.Run()
	used := cmd.ProcessState.SysUsage().(*syscall.Rusage).Maxrss
	if err := os.WriteFile(os.Args[1], []byte(fmt.Sprint(used)), 0o600); err != nil {
		fmt.Fprintln(os.Stderr, err)
	}
	os.Exit(cmd.ProcessState.ExitCode())
}
