#include "core/plan/fields.h"

#include <math.h>
#include <string.h>

#define NUMBER_CHARS_MAX 64

gboolean
dwn_field_number (const char *text, char decimal, double *value)
{
  g_return_val_if_fail (text != NULL && value != NULL, FALSE);

  char digits[NUMBER_CHARS_MAX];
  gsize length;
  char *end;

  while (g_ascii_isspace (*text))
    text++;
  length = strlen (text);
  while (length > 0 && g_ascii_isspace (text[length - 1]))
    length--;
  if (length == 0 || length >= sizeof digits)
    return FALSE;
  memcpy (digits, text, length);
  digits[length] = '\0';
  if (decimal != '.')
    g_strdelimit (digits, ".", '_'); /* a thousands point is no number */
  g_strdelimit (digits, (char[]) { decimal, '\0' }, '.');
  if (strspn (digits, "+-.0123456789eE") != length)
    return FALSE;

  double number = g_ascii_strtod (digits, &end);
  if (*end != '\0' || !isfinite (number))
    return FALSE;
  *value = number;
  return TRUE;
}

gboolean
dwn_field_measure (const char *text, const char *unit, double *value)
{
  g_return_val_if_fail (text != NULL && unit != NULL && value != NULL, FALSE);

  gsize figure = strspn (text, "+-.0123456789eE ");
  g_autofree char *number = g_strndup (text, figure);
  g_autofree char *rest = g_strstrip (g_strdup (text + figure));

  if (*rest != '\0' && g_ascii_strcasecmp (rest, unit) != 0)
    return FALSE;
  return dwn_field_number (number, '.', value);
}

double
dwn_field_degrees (double degrees, double minutes, double seconds)
{
  if (!(degrees >= 0 && degrees <= 360 && minutes >= 0 && minutes < 60 && seconds >= 0
        && seconds <= 60))
    return (double) NAN;
  return degrees + minutes / 60 + seconds / 3600;
}

gboolean
dwn_field_packed_degrees (const char *text, double *degrees)
{
  g_return_val_if_fail (text != NULL && degrees != NULL, FALSE);

  double packed;
  gboolean negative = *text == '-';
  const char *digits = negative ? text + 1 : text;
  gsize whole = strspn (digits, "0123456789");

  if (whole < 5 || whole > 7 || !dwn_field_number (digits, '.', &packed))
    return FALSE;

  double seconds = fmod (packed, 100), minutes = fmod (floor (packed / 100), 100);
  double angle = dwn_field_degrees (floor (packed / 10000), minutes, seconds);

  if (isnan (angle))
    return FALSE;
  *degrees = negative ? -angle : angle;
  return TRUE;
}

/* Cuts "44° 16' 48\" N" into its figures and its letter. Returns how many figures; 0 where
 * something else stands in it. */
static guint
split_angle (const char *text, char decimal, double figure[3], char *letter)
{
  guint n = 0;

  *letter = '\0';
  while (*text != '\0')
    {
      gunichar c = g_utf8_get_char (text);
      gsize length = strspn (text, "+-.,0123456789");
      g_autofree char *number = g_strndup (text, length);

      if (length > 0 && (n == 3 || !dwn_field_number (number, decimal, &figure[n])))
        return 0;
      if (length > 0)
        {
          n++;
          text += length;
          continue;
        }
      if (c < 128 && strchr ("NSEWnsew", (int) c) != NULL && *letter == '\0')
        *letter = g_ascii_toupper ((char) c);
      else if (!g_unichar_isspace (c) && c != 0xB0 && c != 0x2032 && c != 0x2033
               && c != 0x2019 && c != 0x201D && c != '\'' && c != '"' && c != ':')
        return 0;
      text = g_utf8_next_char (text);
    }
  return n;
}

gboolean
dwn_field_angle (const char *text, char decimal, const char *letters, double *degrees)
{
  g_return_val_if_fail (text != NULL && letters != NULL && degrees != NULL, FALSE);

  double figure[3] = { 0, 0, 0 }, angle;
  char letter;
  guint n = split_angle (text, decimal, figure, &letter);

  if (n == 0 || (letter != '\0' && strchr (letters, letter) == NULL))
    return FALSE;
  angle = n == 1 ? fabs (figure[0]) : dwn_field_degrees (fabs (figure[0]), figure[1], figure[2]);
  if (isnan (angle) || (letter != '\0' && signbit (figure[0])))
    return FALSE;
  *degrees = letter == 'S' || letter == 'W' || signbit (figure[0]) ? -angle : angle;
  return TRUE;
}

DwnPolarisation
dwn_field_polarisation (const char *text)
{
  g_return_val_if_fail (text != NULL, DWN_POLARISATION_UNKNOWN);

  switch (g_ascii_toupper (*text))
    {
    case 'H':
      return DWN_POLARISATION_HORIZONTAL;
    case 'V':
      return DWN_POLARISATION_VERTICAL;
    case 'C':
    case 'E':
      return DWN_POLARISATION_CIRCULAR;
    default:
      return DWN_POLARISATION_UNKNOWN;
    }
}

static guint
checked_date (guint year, guint month, guint day)
{
  if (year < 1920 || year > 2200 || !g_date_valid_dmy ((GDateDay) day, (GDateMonth) month,
                                                       (GDateYear) year))
    return 0;
  return year * 10000 + month * 100 + day;
}

guint
dwn_field_date (const char *text)
{
  g_return_val_if_fail (text != NULL, 0);

  char digits[9] = "";
  guint n = 0;
  gboolean slashes = strchr (text, '/') != NULL;

  for (; *text != '\0' && n < 8; text++)
    if (g_ascii_isdigit (*text))
      digits[n++] = *text;
    else if (strchr ("-/", *text) == NULL)
      return 0;
  if (n < 8)
    return 0;

  guint all = (guint) g_ascii_strtoull (digits, NULL, 10);
  return slashes ? checked_date (all % 10000, all / 1000000, all / 10000 % 100)
                 : checked_date (all / 10000, all / 100 % 100, all % 100);
}
