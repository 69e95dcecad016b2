#include "core/radio/knife-edge.h"

#include <math.h>

double
dwn_knife_edge_loss_db (double nu)
{
  if (nu <= -0.78)
    return 0;
  return 6.9 + 20 * log10 (sqrt ((nu - 0.1) * (nu - 0.1) + 1) + nu - 0.1);
}
