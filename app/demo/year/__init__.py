"""This room invents the year behind today: each typical order is lived once by the real actions, and what it left in
the tables is copied to many days, with other customers, hours and lots."""
