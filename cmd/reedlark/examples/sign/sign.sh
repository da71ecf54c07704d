#!/bin/sh
# Signs the address of a sound: sh sign.sh '/v1/audio?tab=4+-4' [EXPIRES]
#
# The key is in REEDLARK_KEYS, as NAME:SECRET with the secret in base64; EXPIRES is
# in seconds since 1970. The query is written as it is to be sent, in percent code.
set -eu
key=${REEDLARK_KEYS%%,*}
text="$1&key_id=${key%%:*}${2:+&expires=$2}"
secret=$(printf %s "${key#*:}" | openssl base64 -d -A | od -An -tx1 | tr -d ' \n')
code=$(printf %s "$text" | openssl dgst -sha256 -mac HMAC -macopt "hexkey:$secret" -binary | openssl base64 -A | tr '+/' '-_' | tr -d =)
printf '%s&signature=%s\n' "$text" "$code"
