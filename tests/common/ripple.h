/* A station that the second antenna of a hybrid hears this much weaker than the first, against the first
 * antenna alone: best and worst phase, to a tenth of a decibel (the trade sheet's figures, worked from
 * 20 log10 ((1 ± r)/√2)). */
#pragma once

typedef struct {
  const char *name;
  double down_db, best_db, worst_db;
} RippleCase;

static const RippleCase ripple_cases[] = {
  { "6-db", 6.0, 0.5, -9.1 },
  { "10-db", 10.0, -0.6, -6.3 },
  { "15-db", 15.0, -1.6, -4.7 },
  { "20-db", 20.0, -2.2, -3.9 },
};
