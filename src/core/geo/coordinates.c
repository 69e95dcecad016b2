#include "core/geo/coordinates.h"

#include <gio/gio.h>
#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/* The text is cut into tokens, the tokens into two halves, and each half is read as one angle. What
 * cannot be told from the text is refused rather than guessed: a wrong house is worse than a
 * question. */

/* Longer than any pair with labels in words, with some air. */
#define MAX_BYTES 256
#define MAX_TOKENS 40
#define MAX_NUMBER_CHARS 32

G_DEFINE_QUARK (dwn-coordinates-error-quark, dwn_coordinates_error)

typedef enum {
  AXIS_UNKNOWN,
  AXIS_LAT,
  AXIS_LON,
} Axis;

typedef enum {
  TOKEN_NUMBER,
  TOKEN_DEGREE, /* the order of these three is that of the numbers they follow */
  TOKEN_MINUTE,
  TOKEN_SECOND,
  TOKEN_JOINT,  /* ":" "=" and the dashes of 44-16-48 */
  TOKEN_SEPARATOR,
  TOKEN_HEMISPHERE,
  TOKEN_LABEL,
} TokenKind;

typedef struct {
  TokenKind kind;
  double value;       /* of a number, without its sign */
  int sign;           /* of a number as written, or of a hemisphere: 1, −1, or 0 for none */
  gboolean fraction;  /* a number with a decimal point or comma */
  gboolean tight;     /* a separating comma between two digits */
  Axis axis;          /* of a hemisphere or a label */
} Token;

typedef struct {
  Token token[MAX_TOKENS];
  guint n;
} Tokens;

static const struct {
  const char *word;
  TokenKind kind;
  Axis axis;
  int sign;
} words[] = {
  { "n", TOKEN_HEMISPHERE, AXIS_LAT, 1 },      { "north", TOKEN_HEMISPHERE, AXIS_LAT, 1 },
  { "nord", TOKEN_HEMISPHERE, AXIS_LAT, 1 },   { "norte", TOKEN_HEMISPHERE, AXIS_LAT, 1 },
  { "s", TOKEN_HEMISPHERE, AXIS_LAT, -1 },     { "south", TOKEN_HEMISPHERE, AXIS_LAT, -1 },
  { "süd", TOKEN_HEMISPHERE, AXIS_LAT, -1 },   { "sud", TOKEN_HEMISPHERE, AXIS_LAT, -1 },
  { "sur", TOKEN_HEMISPHERE, AXIS_LAT, -1 },   { "e", TOKEN_HEMISPHERE, AXIS_LON, 1 },
  { "east", TOKEN_HEMISPHERE, AXIS_LON, 1 },   { "est", TOKEN_HEMISPHERE, AXIS_LON, 1 },
  { "ost", TOKEN_HEMISPHERE, AXIS_LON, 1 },    { "este", TOKEN_HEMISPHERE, AXIS_LON, 1 },
  { "w", TOKEN_HEMISPHERE, AXIS_LON, -1 },     { "west", TOKEN_HEMISPHERE, AXIS_LON, -1 },
  { "ouest", TOKEN_HEMISPHERE, AXIS_LON, -1 }, { "oeste", TOKEN_HEMISPHERE, AXIS_LON, -1 },
  { "lat", TOKEN_LABEL, AXIS_LAT, 0 },         { "latitude", TOKEN_LABEL, AXIS_LAT, 0 },
  { "latitud", TOKEN_LABEL, AXIS_LAT, 0 },     { "breite", TOKEN_LABEL, AXIS_LAT, 0 },
  { "lon", TOKEN_LABEL, AXIS_LON, 0 },         { "long", TOKEN_LABEL, AXIS_LON, 0 },
  { "lng", TOKEN_LABEL, AXIS_LON, 0 },         { "longitude", TOKEN_LABEL, AXIS_LON, 0 },
  { "longitud", TOKEN_LABEL, AXIS_LON, 0 },    { "länge", TOKEN_LABEL, AXIS_LON, 0 },
  { "deg", TOKEN_DEGREE, AXIS_UNKNOWN, 0 },    { "d", TOKEN_DEGREE, AXIS_UNKNOWN, 0 },
  { "min", TOKEN_MINUTE, AXIS_UNKNOWN, 0 },    { "sec", TOKEN_SECOND, AXIS_UNKNOWN, 0 },
};

/* What people, phones and word processors write for degrees, minutes and seconds. */
static const struct {
  gunichar c;
  TokenKind kind;
} marks[] = {
  { 0xb0, TOKEN_DEGREE },   { 0xba, TOKEN_DEGREE },   { 0x2da, TOKEN_DEGREE },
  { '\'', TOKEN_MINUTE },   { '`', TOKEN_MINUTE },    { 0xb4, TOKEN_MINUTE },
  { 0x2b9, TOKEN_MINUTE },  { 0x2018, TOKEN_MINUTE }, { 0x2019, TOKEN_MINUTE },
  { 0x2032, TOKEN_MINUTE }, { '"', TOKEN_SECOND },    { 0x2ba, TOKEN_SECOND },
  { 0x201c, TOKEN_SECOND }, { 0x201d, TOKEN_SECOND }, { 0x2033, TOKEN_SECOND },
};

static gboolean
refuse_format (GError **error)
{
  g_set_error_literal (error, DWN_COORDINATES_ERROR, DWN_COORDINATES_ERROR_FORMAT,
                       _("Not a pair of coordinates: write latitude and longitude in degrees, "
                         "for example 44.28,-71.69 or 44°16'48\"N 71°41'24\"W"));
  return FALSE;
}

static gboolean
refuse_letter_o (GError **error)
{
  g_set_error_literal (error, DWN_COORDINATES_ERROR, DWN_COORDINATES_ERROR_AMBIGUOUS,
                       _("The letter O is east in German and west in French and Spanish: "
                         "write E or W instead"));
  return FALSE;
}

static gboolean
refuse_comma (GError **error)
{
  g_set_error_literal (error, DWN_COORDINATES_ERROR, DWN_COORDINATES_ERROR_AMBIGUOUS,
                       _("Each comma could part two figures or be a decimal comma: write decimal "
                         "points, for example 44.28,-71.69"));
  return FALSE;
}

static gboolean
is_minus (gunichar c)
{
  return c == '-' || (c >= 0x2010 && c <= 0x2013) || c == 0x2212;
}

static gboolean
is_blank (gunichar c)
{
  return g_unichar_isspace (c) || c == 0xfeff;
}

/* Some of the marks count as letters in Unicode, º among them. */
static gboolean
find_mark (gunichar c, TokenKind *kind)
{
  for (gsize i = 0; i < G_N_ELEMENTS (marks); i++)
    if (c == marks[i].c)
      {
        *kind = marks[i].kind;
        return TRUE;
      }
  return FALSE;
}

static gboolean
is_letter (gunichar c)
{
  TokenKind kind;

  return g_unichar_isalpha (c) && !find_mark (c, &kind);
}

static gboolean
is_bracket (gunichar c)
{
  return c == '(' || c == ')' || c == '[' || c == ']';
}

static gboolean
add (Tokens *tokens, Token token, GError **error)
{
  if (tokens->n == MAX_TOKENS)
    return refuse_format (error);
  tokens->token[tokens->n++] = token;
  return TRUE;
}

static const Token *
last_token (const Tokens *tokens)
{
  return tokens->n > 0 ? &tokens->token[tokens->n - 1] : NULL;
}

static gboolean
starts_number (const char *p)
{
  return g_ascii_isdigit (*p) || (*p == '.' && g_ascii_isdigit (p[1]));
}

/* Digits, then perhaps a point (or, with @decimal_comma, a comma) and digits. */
static gboolean
take_number (const char **p, gboolean decimal_comma, int sign, Tokens *tokens, GError **error)
{
  char digits[MAX_NUMBER_CHARS + 1];
  gsize n = 0;
  Token token = { TOKEN_NUMBER, .sign = sign };

  for (; n < MAX_NUMBER_CHARS; n++, (*p)++)
    {
      gboolean point = **p == '.' || (decimal_comma && **p == ',');

      if (g_ascii_isdigit (**p))
        digits[n] = **p;
      else if (point && !token.fraction && g_ascii_isdigit ((*p)[1]))
        {
          digits[n] = '.';
          token.fraction = TRUE;
        }
      else
        break;
    }
  digits[n] = '\0';
  if (n == MAX_NUMBER_CHARS)
    return refuse_format (error);
  token.value = g_ascii_strtod (digits, NULL);
  return add (tokens, token, error);
}

static gboolean
take_word (const char **p, Tokens *tokens, GError **error)
{
  const char *start = *p;

  while (is_letter (g_utf8_get_char (*p)))
    *p = g_utf8_next_char (*p);

  g_autofree char *as_written = g_strndup (start, (gsize) (*p - start));
  g_autofree char *word = g_utf8_strdown (as_written, -1);

  if (**p == '.') /* lat. */
    (*p)++;
  if (strcmp (word, "o") == 0)
    return refuse_letter_o (error);
  for (gsize i = 0; i < G_N_ELEMENTS (words); i++)
    if (strcmp (word, words[i].word) == 0)
      return add (tokens,
                  (Token) { words[i].kind, .axis = words[i].axis, .sign = words[i].sign }, error);
  return refuse_format (error);
}

/* A dash joins degrees and minutes in 44-16-48; otherwise, as in +44.28-071.69, it is a sign. */
static gboolean
take_sign (const char **p, const char *text, gboolean decimal_comma, Tokens *tokens,
           GError **error)
{
  gunichar c = g_utf8_get_char (*p);
  const Token *last = last_token (tokens);
  gboolean after_digit = *p > text && g_ascii_isdigit ((*p)[-1]);

  *p = g_utf8_next_char (*p);
  if (c != '+' && after_digit && g_ascii_isdigit (**p) && !last->fraction)
    return add (tokens, (Token) { TOKEN_JOINT }, error);
  while (is_blank (g_utf8_get_char (*p)))
    *p = g_utf8_next_char (*p);
  if (!starts_number (*p))
    return refuse_format (error);
  return take_number (p, decimal_comma, c == '+' ? 1 : -1, tokens, error);
}

static gboolean
take_mark (const char **p, Tokens *tokens, GError **error)
{
  gunichar c = g_utf8_get_char (*p);
  TokenKind kind;

  *p = g_utf8_next_char (*p);
  if (c == ':' || c == '=')
    return add (tokens, (Token) { TOKEN_JOINT }, error);
  if (c == ';' || c == '/' || c == '|' || c == '&')
    return add (tokens, (Token) { TOKEN_SEPARATOR }, error);
  if (!find_mark (c, &kind))
    return refuse_format (error);
  if (c == '\'' && **p == '\'') /* two apostrophes for a double one */
    {
      (*p)++;
      kind = TOKEN_SECOND;
    }
  return add (tokens, (Token) { kind }, error);
}

static gboolean
take_comma (const char **p, const char *text, Tokens *tokens, GError **error)
{
  gboolean tight = *p > text && g_ascii_isdigit ((*p)[-1]) && g_ascii_isdigit ((*p)[1]);

  (*p)++;
  return add (tokens, (Token) { TOKEN_SEPARATOR, .tight = tight }, error);
}

static gboolean
take_token (const char **p, const char *text, gboolean decimal_comma, Tokens *tokens,
            GError **error)
{
  gunichar c = g_utf8_get_char (*p);

  if (starts_number (*p))
    return take_number (p, decimal_comma, 0, tokens, error);
  if (c == '+' || is_minus (c))
    return take_sign (p, text, decimal_comma, tokens, error);
  if (c == ',')
    return take_comma (p, text, tokens, error);
  if (is_letter (c))
    return take_word (p, tokens, error);
  return take_mark (p, tokens, error);
}

static gboolean
tokenise (const char *text, gboolean decimal_comma, Tokens *tokens, GError **error)
{
  tokens->n = 0;
  for (const char *p = text; *p != '\0';)
    {
      gunichar c = g_utf8_get_char (p);

      if (is_blank (c) || is_bracket (c))
        p = g_utf8_next_char (p);
      else if (!take_token (&p, text, decimal_comma, tokens, error))
        return FALSE;
    }
  if (tokens->n > 0 && last_token (tokens)->kind == TOKEN_SEPARATOR)
    tokens->n--; /* ISO 6709 ends in a slash */
  return TRUE;
}

/* 44,28,71 is 44.28,71 as well as 44,28.71. */
static gboolean
check_tight_commas (const Tokens *tokens, GError **error)
{
  for (guint i = 1; i + 1 < tokens->n; i++)
    if (tokens->token[i].tight
        && !(tokens->token[i - 1].fraction && tokens->token[i + 1].fraction))
      return refuse_comma (error);
  return TRUE;
}

static guint
count (const Tokens *tokens, TokenKind kind)
{
  guint n = 0;

  for (guint i = 0; i < tokens->n; i++)
    n += tokens->token[i].kind == kind;
  return n;
}

/* Index of the @nth (from 0) token of @kind; n where there are fewer. */
static guint
find_nth (const Tokens *tokens, TokenKind kind, guint nth)
{
  guint i = 0;

  for (; i < tokens->n; i++)
    if (tokens->token[i].kind == kind && nth-- == 0)
      break;
  return i;
}

/* Where the second coordinate begins when hemispheres tell. */
static guint
split_at_hemisphere (const Tokens *tokens)
{
  guint first = find_nth (tokens, TOKEN_HEMISPHERE, 0);

  if (first == 0)
    return find_nth (tokens, TOKEN_HEMISPHERE, 1);
  return first + 1;
}

static guint
split_at_sign (const Tokens *tokens)
{
  for (guint i = find_nth (tokens, TOKEN_NUMBER, 0) + 1; i < tokens->n; i++)
    if (tokens->token[i].kind == TOKEN_NUMBER && tokens->token[i].sign != 0)
      return i;
  return tokens->n;
}

/* Index of the first token of the second coordinate (the caller drops a separator before
 * it), by the clearest sign there is; n where there is none. */
static guint
split (const Tokens *tokens)
{
  guint n_numbers = count (tokens, TOKEN_NUMBER), at;

  if (count (tokens, TOKEN_SEPARATOR) > 0)
    return find_nth (tokens, TOKEN_SEPARATOR, 0) + 1;
  if (count (tokens, TOKEN_LABEL) == 2)
    return find_nth (tokens, TOKEN_LABEL, 1);
  at = split_at_hemisphere (tokens);
  if (at < tokens->n)
    return at;
  if (count (tokens, TOKEN_DEGREE) == 2)
    return find_nth (tokens, TOKEN_DEGREE, 1) - 1;
  at = split_at_sign (tokens);
  if (at < tokens->n)
    return at;
  return n_numbers % 2 == 0 ? find_nth (tokens, TOKEN_NUMBER, n_numbers / 2) : tokens->n;
}

typedef struct {
  double deg;
  Axis axis;
} Half;

/* Adds minutes or seconds. */
static gboolean
add_sixtieths (double value, guint place, double *deg, GError **error)
{
  const double per_degree[] = { 1, 60, 3600 };

  if (place > 0 && value >= 60)
    {
      g_set_error (error, DWN_COORDINATES_ERROR, DWN_COORDINATES_ERROR_RANGE,
                   place == 1 ? _("%g minutes: minutes are 0 to below 60")
                              : _("%g seconds: seconds are 0 to below 60"),
                   value);
      return FALSE;
    }
  *deg += value / per_degree[place];
  return TRUE;
}

/* Degrees, minutes and seconds, as many as there are, from t[*i] on. */
static gboolean
read_angle (const Token *t, guint n, guint *i, double *deg, GError **error)
{
  *deg = 0;
  for (guint place = 0; *i < n && t[*i].kind == TOKEN_NUMBER; place++)
    {
      gboolean last = t[*i].fraction;

      if (place == 3 || (place > 0 && t[*i].sign != 0))
        return refuse_format (error);
      if (!add_sixtieths (t[*i].value, place, deg, error))
        return FALSE;
      (*i)++;
      if (*i < n && t[*i].kind == TOKEN_DEGREE + place)
        (*i)++;
      else if (*i + 1 < n && t[*i].kind == TOKEN_JOINT && t[*i + 1].kind == TOKEN_NUMBER)
        (*i)++;
      if (last)
        break;
    }
  return TRUE;
}

static gboolean
take_axis (const Token *t, guint n, guint *i, TokenKind kind, const Token **taken)
{
  if (*i >= n || t[*i].kind != kind || *taken != NULL)
    return FALSE;
  *taken = &t[(*i)++];
  return TRUE;
}

static gboolean
read_half (const Token *t, guint n, Half *half, GError **error)
{
  const Token *label = NULL, *hemisphere = NULL;
  guint i = 0;

  if (take_axis (t, n, &i, TOKEN_LABEL, &label) && i < n && t[i].kind == TOKEN_JOINT)
    i++;
  take_axis (t, n, &i, TOKEN_HEMISPHERE, &hemisphere);
  if (i >= n || t[i].kind != TOKEN_NUMBER)
    return refuse_format (error);

  int sign = t[i].sign;
  if (!read_angle (t, n, &i, &half->deg, error))
    return FALSE;
  take_axis (t, n, &i, TOKEN_HEMISPHERE, &hemisphere);
  if (i < n)
    return refuse_format (error);
  if (hemisphere != NULL && sign < 0)
    {
      g_set_error_literal (error, DWN_COORDINATES_ERROR, DWN_COORDINATES_ERROR_AMBIGUOUS,
                           _("A minus sign and a hemisphere together could cancel each other: "
                             "write one of the two"));
      return FALSE;
    }

  half->axis = label != NULL ? label->axis : hemisphere != NULL ? hemisphere->axis : AXIS_UNKNOWN;
  if (label != NULL && hemisphere != NULL && label->axis != hemisphere->axis)
    return refuse_format (error);
  if (sign < 0 || (hemisphere != NULL && hemisphere->sign < 0))
    half->deg = -half->deg;
  return TRUE;
}

static gboolean
refuse_latitude (const DwnLatLon *at, gboolean order_assumed, GError **error)
{
  if (order_assumed && fabs (at->lat_deg) <= 180 && fabs (at->lon_deg) <= 90)
    g_set_error (error, DWN_COORDINATES_ERROR, DWN_COORDINATES_ERROR_RANGE,
                 _("Latitude %g is outside -90 to 90; the latitude comes first, then the "
                   "longitude: %g,%g?"),
                 at->lat_deg, at->lon_deg, at->lat_deg);
  else
    g_set_error (error, DWN_COORDINATES_ERROR, DWN_COORDINATES_ERROR_RANGE,
                 _("Latitude %g is outside -90 to 90"), at->lat_deg);
  return FALSE;
}

static gboolean
refuse_longitude (const DwnLatLon *at, GError **error)
{
  if (fabs (at->lon_deg) <= 360)
    g_set_error (error, DWN_COORDINATES_ERROR, DWN_COORDINATES_ERROR_RANGE,
                 _("Longitude %g is outside -180 to 180; the same meridian is %g"), at->lon_deg,
                 remainder (at->lon_deg, 360));
  else
    g_set_error (error, DWN_COORDINATES_ERROR, DWN_COORDINATES_ERROR_RANGE,
                 _("Longitude %g is outside -180 to 180"), at->lon_deg);
  return FALSE;
}

static gboolean
join_halves (const Half *first, const Half *second, DwnLatLon *at, GError **error)
{
  gboolean lon_first = first->axis == AXIS_LON || second->axis == AXIS_LAT;
  DwnLatLon read = lon_first ? (DwnLatLon) { second->deg, first->deg }
                             : (DwnLatLon) { first->deg, second->deg };

  if (first->axis != AXIS_UNKNOWN && first->axis == second->axis)
    {
      g_set_error_literal (error, DWN_COORDINATES_ERROR, DWN_COORDINATES_ERROR_FORMAT,
                           first->axis == AXIS_LAT
                             ? _("Two latitudes: one of the two must be a longitude, E or W")
                             : _("Two longitudes: one of the two must be a latitude, N or S"));
      return FALSE;
    }
  if (fabs (read.lat_deg) > 90)
    return refuse_latitude (&read, first->axis == second->axis, error);
  if (fabs (read.lon_deg) > 180)
    return refuse_longitude (&read, error);
  *at = read;
  return TRUE;
}

static gboolean
parse_as (const char *text, gboolean decimal_comma, DwnLatLon *at, GError **error)
{
  Tokens tokens;
  Half first, second;

  if (!tokenise (text, decimal_comma, &tokens, error)
      || (decimal_comma && !check_tight_commas (&tokens, error)))
    return FALSE;

  guint start = split (&tokens), end = start;
  if (start == 0 || start >= tokens.n)
    return refuse_format (error);
  if (tokens.token[start - 1].kind == TOKEN_SEPARATOR)
    end--;
  return read_half (tokens.token, end, &first, error)
         && read_half (&tokens.token[start], tokens.n - start, &second, error)
         && join_halves (&first, &second, at, error);
}

static gboolean
may_have_decimal_comma (const char *text)
{
  gboolean comma = FALSE;

  for (const char *p = text; *p != '\0'; p++)
    {
      if (*p == '.' && g_ascii_isdigit (p[1]))
        return FALSE;
      if (*p == ',' && p > text && g_ascii_isdigit (p[-1]) && g_ascii_isdigit (p[1]))
        comma = TRUE;
    }
  return comma;
}

/* Both readings of the commas are tried; one of them must be the only good one. */
static gboolean
parse_with_commas (const char *text, DwnLatLon *at, GError **error)
{
  g_autoptr (GError) decimal_error = NULL, separator_error = NULL;
  DwnLatLon decimal, separator;
  gboolean is_decimal = parse_as (text, TRUE, &decimal, &decimal_error);
  gboolean is_separator = parse_as (text, FALSE, &separator, &separator_error);

  if (is_decimal && is_separator)
    return refuse_comma (error);
  if (is_decimal || is_separator)
    {
      *at = is_decimal ? decimal : separator;
      return TRUE;
    }

  /* The reading that got as far as the figures knows better what is wrong. */
  gboolean plain = g_error_matches (decimal_error, DWN_COORDINATES_ERROR,
                                    DWN_COORDINATES_ERROR_FORMAT);
  g_propagate_error (error, plain ? g_steal_pointer (&separator_error)
                                  : g_steal_pointer (&decimal_error));
  return FALSE;
}

/* RFC 5870: geo:lat,lon[,altitude][;parameters], with the ?q=lat,lon(name) that phones append. */
static gboolean
parse_geo_uri (const char *uri, DwnLatLon *at, GError **error)
{
  gsize length = strcspn (uri, ";?");
  g_autofree char *place = g_strndup (uri, length);
  g_autofree char *rest = g_ascii_strdown (uri + length, -1);
  const char *reference = strstr (rest, ";crs=");
  const char *query = strstr (rest, "?q=");

  if (reference != NULL && !g_str_has_prefix (reference, ";crs=wgs84"))
    {
      g_set_error_literal (error, DWN_COORDINATES_ERROR, DWN_COORDINATES_ERROR_FORMAT,
                           _("The geo address names another reference system than wgs84"));
      return FALSE;
    }
  if (query != NULL && strcmp (place, "0,0") == 0)
    {
      g_free (place);
      place = g_strndup (query + 3, strcspn (query + 3, "(&"));
    }

  g_auto (GStrv) figures = g_strsplit (place, ",", -1);
  guint n = g_strv_length (figures);
  if (n != 2 && n != 3)
    return refuse_format (error);
  g_autofree char *pair = g_strjoin (",", figures[0], figures[1], NULL);
  return parse_as (pair, FALSE, at, error);
}

gboolean
dwn_lat_lon_parse (const char *text, DwnLatLon *at, GError **error)
{
  g_return_val_if_fail (text != NULL && at != NULL, FALSE);

  if (strlen (text) > MAX_BYTES || !g_utf8_validate (text, -1, NULL))
    return refuse_format (error);
  while (is_blank (g_utf8_get_char (text)))
    text = g_utf8_next_char (text);
  if (g_ascii_strncasecmp (text, "geo:", 4) == 0)
    return parse_geo_uri (text + 4, at, error);
  if (may_have_decimal_comma (text))
    return parse_with_commas (text, at, error);
  return parse_as (text, FALSE, at, error);
}

static void
append_degrees (GString *out, double deg)
{
  char digits[G_ASCII_DTOSTR_BUF_SIZE];
  gsize n;

  g_ascii_formatd (digits, sizeof digits, "%.7f", deg);
  for (n = strlen (digits); digits[n - 1] == '0'; n--)
    ;
  if (digits[n - 1] == '.')
    n--;
  digits[n] = '\0';
  g_string_append (out, strcmp (digits, "-0") == 0 ? "0" : digits);
}

char *
dwn_lat_lon_format_plain (const DwnLatLon *at)
{
  g_return_val_if_fail (at != NULL, NULL);

  GString *out = g_string_new (NULL);

  append_degrees (out, at->lat_deg);
  g_string_append_c (out, ',');
  append_degrees (out, at->lon_deg);
  return g_string_free (out, FALSE);
}
