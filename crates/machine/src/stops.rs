//! How often and how long the machine stands, what that costs, which spares pay.
