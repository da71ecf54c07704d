"""Signs the address of a sound: python3 sign.py '/v1/audio?tab=4+-4' [EXPIRES]

The key is in REEDLARK_KEYS, as NAME:SECRET with the secret in base64; EXPIRES is
in seconds since 1970. The query is written as it is to be sent, in percent code.
"""
import base64, hashlib, hmac, os, sys


def sign(path_and_query, key_id, secret, expires=None):
    text = f"{path_and_query}&key_id={key_id}"
    if expires is not None:
        text += f"&expires={expires}"
    code = hmac.new(secret, text.encode(), hashlib.sha256).digest()
    return f"{text}&signature={base64.urlsafe_b64encode(code).decode().rstrip('=')}"


if __name__ == "__main__":
    name, code = os.environ["REEDLARK_KEYS"].split(",")[0].split(":")
    print(sign(sys.argv[1], name, base64.b64decode(code), *sys.argv[2:]))
