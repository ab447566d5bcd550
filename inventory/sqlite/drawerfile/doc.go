// Package drawerfile knows the drawer file as a whole: whose it is and which form it has, its
// schema and how an older form is brought to it, the connection, one transaction, safe copies, the
// exchange of one file for another under a writer's lock, and what SQLite's result codes mean in
// plain words. It knows the marks, the tables' names and that lots and movements are only ever
// added to, no row.
package drawerfile
