UPDATE morning SET night = '2026-99-99';
