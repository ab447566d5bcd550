/* The plain way to find networks, as a floor for the benchmarks of this package: 170 values of E24 from 1 ohm to 11 Mohm, any
 * number of each, one core. Nothing is pruned and nothing is clever.
 *
 *   networks near OHM       every network of one, two and three parts is computed; the nearest is kept
 *   networks ratio K PARTS  every network of up to PARTS parts is stored and sorted (qsort of the C library), then the pair of
 *                           nearest ratio is found by two fingers, after the sorted list itself has been made
 *   networks pairs K        every pair of networks of one and two parts is divided; no sorting
 *
 * It prints the number of networks, the least relative error and the nanoseconds of one run, after one to warm up.
 */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static const double e24[24] = {1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0,
                               3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.2, 6.8, 7.5, 8.2, 9.1};
static double v[170];
static int n;
static double *list;
static size_t count;
static double best;

static double par(double a, double b) { return a * b / (a + b); }

static void series_of_values(void) {
    for (int d = 0; d < 8; d++)
        for (int i = 0; i < 24 && n < 170; i++) v[n++] = e24[i] * pow(10, d);
}

static void near_value(double r) {
    best = INFINITY;
    count = 0;
#define LOOK(x)                                 \
    do {                                        \
        double e = fabs((x) - r);               \
        count++;                                \
        if (e < best) best = e;                 \
    } while (0)
    for (int i = 0; i < n; i++) LOOK(v[i]);
    for (int i = 0; i < n; i++)
        for (int j = i; j < n; j++) {
            LOOK(v[i] + v[j]);
            LOOK(par(v[i], v[j]));
        }
    for (int i = 0; i < n; i++)
        for (int j = i; j < n; j++) {
            double s = v[i] + v[j], p = par(v[i], v[j]);
            for (int k = j; k < n; k++) {
                LOOK(s + v[k]);
                LOOK(par(p, v[k]));
            }
            for (int k = 0; k < n; k++) {
                LOOK(v[k] + p);
                LOOK(par(v[k], s));
            }
        }
    best /= r;
}

static int rising(const void *a, const void *b) {
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static void store(int parts) {
    count = 0;
    for (int i = 0; i < n; i++) list[count++] = v[i];
    for (int i = 0; parts > 1 && i < n; i++)
        for (int j = i; j < n; j++) {
            double s = v[i] + v[j], p = par(v[i], v[j]);
            list[count++] = s;
            list[count++] = p;
            if (parts < 3) continue;
            for (int k = j; k < n; k++) {
                list[count++] = s + v[k];
                list[count++] = par(p, v[k]);
            }
            for (int k = 0; k < n; k++) {
                list[count++] = v[k] + p;
                list[count++] = par(v[k], s);
            }
        }
}

static void ratio(double k, int parts) {
    store(parts);
    qsort(list, count, sizeof *list, rising);
    best = INFINITY;
    for (size_t i = 0, j = 0; i < count && j < count;) {
        double q = list[i] / (list[j] * k) - 1;
        if (fabs(q) < best) best = fabs(q);
        if (q < 0) i++; else j++;
    }
}

static void pairs(double k) {
    store(2);
    best = INFINITY;
    for (size_t i = 0; i < count; i++) {
        double want = list[i] / k;
        for (size_t j = 0; j < count; j++) {
            double e = fabs(want / list[j] - 1);
            if (e < best) best = e;
        }
    }
}

int main(int argc, char **argv) {
    if (argc < 3) return 2;
    series_of_values();
    list = malloc(sizeof *list * 6700000);
    double x = atof(argv[2]);
    struct timespec a, b;
    for (int run = 0; run < 2; run++) {
        clock_gettime(CLOCK_MONOTONIC, &a);
        if (!strcmp(argv[1], "near")) near_value(x);
        else if (!strcmp(argv[1], "pairs")) pairs(x);
        else ratio(x, argc > 3 ? atoi(argv[3]) : 3);
        clock_gettime(CLOCK_MONOTONIC, &b);
    }
    printf("%zu %.3e %.0f\n", count, best, (b.tv_sec - a.tv_sec) * 1e9 + (b.tv_nsec - a.tv_nsec));
    return 0;
}
