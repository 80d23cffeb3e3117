// The yardstick of read_ratio: the same transaction under row security and the same JSON, with nothing around it.
const { createServer } = require('node:http');
const { Pool } = require('pg');

const [url, organisationId, apiKeyId, sql, port] = process.argv.slice(2);
const ENTER = 'SELECT app.enter($1, $2) AS entered';
const pool = new Pool({ connectionString: url, max: 10 });

createServer(async (request, response) => {
  const vehicleId = request.url.split('/')[3];
  const client = await pool.connect();
  try {
    await client.query('BEGIN READ ONLY');
    // planned once, as any server that cares would have it
    await client.query({ name: 'enter', text: ENTER, values: [organisationId, apiKeyId] });
    const { rows } = await client.query({
      name: 'items',
      text: sql,
      values: [vehicleId, new Date().toISOString()],
    });
    await client.query('COMMIT');
    const { zone, todayOn } = rows[0] ?? {};
    const items = rows
      .filter(({ id }) => id !== null)
      .map(({ id, state, details }) => ({ id, vehicleId, state, todayOn, ...details }));
    const body = JSON.stringify({ vehicleId, zone, todayOn, items });
    response.writeHead(200, {
      'content-type': 'application/json; charset=utf-8',
      'content-length': Buffer.byteLength(body),
    });
    response.end(body);
  } finally {
    client.release();
  }
}).listen(Number(port), '127.0.0.1');
