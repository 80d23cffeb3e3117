export default function startTestPostgres(): void {}
