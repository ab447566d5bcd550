package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// mostMethods is how many methods of its own a type of the engine may have: more, and it is several
// things.
const mostMethods = 15

// TestMethods keeps types of the engine small enough to know.
func TestMethods(t *testing.T) {
	root := filepath.Join("..", "..", "substitute")
	methods := map[string]int{}
	for _, path := range sourceFiles(t) {
		inside, err := filepath.Rel(root, path)
		require.NoError(t, err)
		if strings.HasPrefix(inside, "..") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		require.NoError(t, err)
		for _, d := range file.Decls {
			if f, is := d.(*ast.FuncDecl); is && f.Recv != nil {
				methods[filepath.ToSlash(filepath.Dir(inside))+"."+receiver(f.Recv.List[0].Type)]++
			}
		}
	}
	require.Greater(t, len(methods), 50)
	for name, n := range methods {
		require.LessOrEqual(t, n, mostMethods, "%s is several things", name)
	}
}

// receiver is the name of the type a method belongs to.
func receiver(e ast.Expr) string {
	switch e := e.(type) {
	case *ast.StarExpr:
		return receiver(e.X)
	case *ast.IndexExpr:
		return receiver(e.X)
	case *ast.Ident:
		return e.Name
	}
	return "?"
}
