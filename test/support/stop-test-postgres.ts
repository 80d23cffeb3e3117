export default function stopTestPostgres(): void {}
