UPDATE morning SET night = '9999-12-31';
