package flyback
