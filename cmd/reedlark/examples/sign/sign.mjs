// Signs the address of a sound: node sign.mjs '/v1/audio?tab=4+-4' [EXPIRES]
//
// The key is in REEDLARK_KEYS, as NAME:SECRET with the secret in base64; EXPIRES is
// in seconds since 1970. The query is written as it is to be sent, in percent code.
import { createHmac } from 'node:crypto';

export function sign(pathAndQuery, keyId, secret, expires) {
  let text = `${pathAndQuery}&key_id=${keyId}`;
  if (expires !== undefined) text += `&expires=${expires}`;
  return `${text}&signature=${createHmac('sha256', secret).update(text).digest('base64url')}`;
}

const [name, code] = process.env.REEDLARK_KEYS.split(',')[0].split(':');
console.log(sign(process.argv[2], name, Buffer.from(code, 'base64'), process.argv[3]));
