module github.com/cpuguy83/go-md2man/v2

go 1.26.0
