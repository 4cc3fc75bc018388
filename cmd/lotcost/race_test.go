//go:build race

package main

func init() { raced = true }
