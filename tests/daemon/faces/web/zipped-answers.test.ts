import { gunzipSync } from 'node:zlib';
import { expect, it } from 'vitest';
import { HOST, pageRig } from './page-rig.ts';

it('sends long answers zipped to those who take it, and short ones as they are', async () => {
  const rig = await pageRig();
  await rig.plan();
  const raw = async (url: string, encoding?: string) => {
    const { headers, rawPayload } = await rig.app.inject({
      url,
      headers: { host: HOST, ...(encoding === undefined ? {} : { 'accept-encoding': encoding }) },
    });
    return { encoding: headers['content-encoding'], length: headers['content-length'], rawPayload };
  };
  const plain = await raw('/api/today');
  expect(plain.encoding).toBeUndefined();
  const zipped = await raw('/api/today', 'gzip, deflate, br');
  expect(zipped.encoding).toBe('gzip');
  expect(zipped.length).toBe(String(zipped.rawPayload.length));
  expect(zipped.rawPayload.length).toBeLessThan(plain.rawPayload.length / 4);
  expect(JSON.parse(gunzipSync(zipped.rawPayload).toString())).toEqual(
    JSON.parse(plain.rawPayload.toString()),
  );
  expect((await raw('/api/today', 'gzip;q=0')).encoding).toBeUndefined();
  expect((await raw('/api/me', 'gzip')).encoding).toBeUndefined();
});
